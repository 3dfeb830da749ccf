package layout

import (
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// align finds the fixed posts that neither a vertex nor a gate asks for: what
// the user pins, where a slope part begins or ends, and where the grade breaks;
// and then the pull posts of long straights, which depend on all others.
func (p *planner) align(v *fault.List) {
	p.classifyTurns()
	// Pins stand just where they are; what comes after may share their posts.
	for _, find := range []func() []spot{p.pins, p.partEnds, p.gradeBreaks, p.pulls} {
		if spots := find(); len(spots) > 0 {
			p.insert(spots, v)
		}
	}
}

// classifyTurns says what the vertices are that turn by less than a corner. A
// vertex inside an arc is a bend whatever it turns by.
func (p *planner) classifyTurns() {
	for i := range p.marks {
		m := &p.marks[i]
		if !m.passes() || m.vertex < 0 || m.chord {
			continue
		}
		switch p.spec.Classify(m.turn) {
		case spec.Anchors:
			m.because = ByAnchor
		case spec.SetConcrete:
			m.because = ByConcrete
		case spec.Bends, spec.Turns:
		}
	}
}

// spotAt is the spot at a station of a run.
func (p *planner) spotAt(run int, station measure.Length, s spot) spot {
	s.leg, s.station = p.legAt(int32(run), station), station
	return s
}

func (p *planner) pins() (spots []spot) {
	for run := range p.site.Runs {
		for i, pin := range p.site.Runs[run].Pins {
			spots = append(spots, p.spotAt(run, pin.Station, spot{pin: int32(i), fixed: true}))
		}
	}
	return spots
}

// partEnds are the ends of slope parts; not where two of one mode meet at the
// start of a closed run.
func (p *planner) partEnds() (spots []spot) {
	for run := range p.site.Runs {
		r := &p.site.Runs[run]
		parts, length := r.Slopes, r.Length()
		if len(parts) == 0 {
			continue
		}
		first, last := parts[0], parts[len(parts)-1]
		goesOnAround := r.Closed && first.From == 0 && last.To == length && first.Stepped == last.Stepped
		for _, part := range parts {
			if part.From > 0 || !goesOnAround {
				spots = append(spots, p.spotAt(run, part.From, spot{pin: none}))
			}
			if part.To < length || !goesOnAround {
				spots = append(spots, p.spotAt(run, part.To, spot{pin: none}))
			}
		}
	}
	return spots
}

func (p *planner) gradeBreaks() (spots []spot) {
	least := p.spec.Alignment.GradeBreak
	if least == 0 {
		return nil
	}
	for run := range p.site.Runs {
		r := &p.site.Runs[run]
		length := r.Length()
		for i, g := range r.Ground {
			if gradeTurn(r, i, length) >= least {
				spots = append(spots, p.spotAt(run, g.Station, spot{pin: none, because: ByGradeBreak}))
			}
		}
	}
	return spots
}

// gradeTurn is how far the grade turns at point i of the ground, up or down; at
// the first or the last only where a closed run comes back to it.
func gradeTurn(r *site.Run, i int, length measure.Length) measure.Angle {
	point := func(i int, off measure.Length) measure.Point {
		return measure.Point{East: r.Ground[i].Station + off, North: r.Ground[i].Elevation}
	}
	last := len(r.Ground) - 1
	switch {
	case 0 < i && i < last:
		return measure.Turn(point(i-1, 0), point(i, 0), point(i+1, 0)).Abs()
	case i == 0 && last > 0 && r.Closed && r.Ground[0].Station == 0 && r.Ground[last].Station == length:
		return measure.Turn(point(last-1, -length), point(0, 0), point(1, 0)).Abs()
	default:
		return 0
	}
}

// legAt is the leg of a run that a station lies on.
func (p *planner) legAt(run int32, station measure.Length) int32 {
	first, end := p.marks[p.runs[run].marks].legOut, &p.marks[p.runs[run].marksEnd-1]
	last := max(end.legIn, end.legOut) // of a closed run it leads home
	i, _ := slices.BinarySearchFunc(p.legs[first:last+1], station, func(l leg, at measure.Length) int {
		if l.Start > at {
			return 1
		}
		return -1
	})
	return first + int32(max(i-1, 0))
}

// takesPull reports a post that a long straight may pull on.
func (p *planner) takesPull(m *mark) bool {
	return !m.passes() || m.gate() || m.pulls() || m.vertex >= 0 && !m.chord && p.spec.Classify(m.turn) == spec.Turns
}

// pulls are the pull posts that long straights take, evenly spaced between the
// posts that take a pull already, each moved back (or, where that leads
// nowhere, on) out of intervals in which no hole is dug. Gate openings are no
// straights.
func (p *planner) pulls() []spot {
	most := p.spec.Alignment.PullSpacing
	if most == 0 {
		return nil
	}
	var spots []spot
	for i, r := range p.site.Runs {
		run, length := int32(i), r.Length()
		for _, s := range p.straights(i, r.Closed, length) {
			for at := s.from; s.to-at > most; {
				parts := (s.to - at + most - 1) / most
				next := p.clearOfBarred(run, at, p.bendNear(i, at, at+(s.to-at)/parts, at+most))
				if next >= s.to {
					break
				}
				at = next
				station := next
				if r.Closed && station >= length {
					station -= length
				}
				spots = append(spots, p.spotAt(i, station, spot{pin: none, because: ByPull}))
			}
		}
	}
	return spots
}

// straight is a part of a run between two posts that take a pull.
type straight struct{ from, to measure.Length }

// straights of a run; of a closed run, the last leads on past its length to the
// first post that takes a pull, or all around where there is none.
func (p *planner) straights(run int, closed bool, length measure.Length) []straight {
	var all []straight
	var first, last *mark
	for i := p.runs[run].marks; i < p.runs[run].marksEnd; i++ {
		m := &p.marks[i]
		if !p.takesPull(m) {
			continue
		}
		if last == nil {
			first = m
		} else if last.gateOut < 0 {
			all = append(all, straight{last.station, m.station})
		}
		last = m
	}
	switch {
	case !closed:
	case last == nil:
		all = append(all, straight{0, length})
	case last.gateOut < 0:
		all = append(all, straight{last.station, first.station + length})
	}
	return all
}

// bendNear is the station of a bend or a pinned post within half a bay of a
// place, past before and no farther than most: better one post that pulls than
// two side by side. Without one it is the place itself.
func (p *planner) bendNear(run int, before, at, most measure.Length) measure.Length {
	best, around := at, measure.Length(0)
	if r := &p.site.Runs[run]; r.Closed && most > r.Length() {
		around = r.Length()
	}
	for i := p.runs[run].marks; i < p.runs[run].marksEnd; i++ {
		for _, station := range [...]measure.Length{p.marks[i].station, p.marks[i].station + around} {
			off := (station - at).Abs()
			if !p.marks[i].gate() && before < station && station <= most && off <= p.spec.Layout.MaxBay/2 && (best == at || off < (best-at).Abs()) {
				best = station
			}
		}
	}
	return best
}

// clearOfBarred is where, from a place on, a pull post may stand: the place
// itself, or where no hole is dug there, back from it, or if that is hardly
// past the post before, on.
func (p *planner) clearOfBarred(run int32, before, at measure.Length) measure.Length {
	back, on := at, at
	barred := p.noHoles(int(run), p.lineHole()) // by where they begin
	for _, b := range barred {
		if on > b.from && on < b.to {
			on = b.to
		}
	}
	for _, b := range slices.Backward(barred) {
		if back > b.from && back < b.to {
			back = b.from
		}
	}
	if back > before+p.spec.Layout.MaxBay/2 {
		return back
	}
	return on
}
