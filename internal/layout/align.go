package layout

import (
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// align finds the fixed posts that neither a vertex nor a gate asks for: what
// the user pins, where a slope part begins or ends, and where the grade breaks;
// and then the pull posts of long straights, which depend on all others.
func (p *planner) align(v *fault.List) {
	p.classifyTurns()
	var spots []spot
	for i := range p.site.Runs {
		spots = p.spotsOf(spots, int32(i))
	}
	if len(spots) > 0 {
		p.insert(spots, v)
	}
	if p.spec.Alignment.PullSpacing > 0 {
		if pulls := p.pulls(); len(pulls) > 0 {
			p.insert(pulls, v)
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

// spotsOf appends the spots of one run.
func (p *planner) spotsOf(spots []spot, run int32) []spot {
	r := &p.site.Runs[run]
	add := func(station measure.Length, s spot) {
		s.leg, s.station = p.legAt(run, station), station
		spots = append(spots, s)
	}
	for i, pin := range r.Pins {
		add(pin.Station, spot{pin: int32(i), fixed: true})
	}
	for _, part := range r.Slopes {
		add(part.From, spot{pin: none})
		add(part.To, spot{pin: none})
	}
	if least := p.spec.Alignment.GradeBreak; least > 0 {
		for i := 1; i+1 < len(r.Ground); i++ {
			if gradeTurn(r.Ground[i-1].Station, r.Ground[i-1].Elevation, r.Ground[i].Station, r.Ground[i].Elevation,
				r.Ground[i+1].Station, r.Ground[i+1].Elevation) >= least {
				add(r.Ground[i].Station, spot{pin: none, because: ByGradeBreak})
			}
		}
	}
	return spots
}

// gradeTurn is how far the grade turns at the second of three points of a
// profile, up or down.
func gradeTurn(s0, e0, s1, e1, s2, e2 measure.Length) measure.Angle {
	return measure.Turn(measure.Point{East: s0, North: e0}, measure.Point{East: s1, North: e1}, measure.Point{East: s2, North: e2}).Abs()
}

// legAt is the leg of a run that a station lies on.
func (p *planner) legAt(run int32, station measure.Length) int32 {
	first := p.marks[p.runs[run].marks].legOut
	last := first
	for int(last)+1 < len(p.legs) && p.legs[last+1].run == run {
		last++
	}
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
	var spots []spot
	most := p.spec.Alignment.PullSpacing
	for i, r := range p.site.Runs {
		run, length := int32(i), r.Length()
		for _, s := range p.straights(i, r.Closed, length) {
			for at := s.from; s.to-at > most; {
				parts := (s.to - at + most - 1) / most
				next := p.clearOfBarred(run, at, p.bendNear(i, at+(s.to-at)/parts, at+most), length)
				if next >= s.to {
					break
				}
				at = next
				station := next
				if r.Closed && station >= length {
					station -= length
				}
				spots = append(spots, spot{leg: p.legAt(run, station), station: station, pin: none, because: ByPull})
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
// place, and no farther than most: better one post that pulls than two side by
// side. Without one it is the place itself.
func (p *planner) bendNear(run int, at, most measure.Length) measure.Length {
	best := at
	for i := p.runs[run].marks; i < p.runs[run].marksEnd; i++ {
		m := &p.marks[i]
		if off := (m.station - at).Abs(); !m.gate() && m.station <= most && off <= p.spec.Layout.MaxBay/2 && (best == at || off < (best-at).Abs()) {
			best = m.station
		}
	}
	return best
}

// clearOfBarred is where, from a place on, a pull post may stand: the place
// itself, or where no hole is dug there, back from it, or if that is hardly
// past the post before, on.
func (p *planner) clearOfBarred(run int32, before, at, length measure.Length) measure.Length {
	radius := p.kind(kind{size: p.spec.Posts.Size}).pit.Radius()
	var around measure.Length
	if at >= length {
		around = length
	}
	back, on := at-around, at-around
	for _, b := range p.barred[run] { // by From
		if on > b.From-radius && on < b.To+radius {
			on = b.To + radius
		}
	}
	for _, b := range slices.Backward(p.barred[run]) {
		if back > b.From-radius && back < b.To+radius {
			back = b.From - radius
		}
	}
	if back+around > before+p.spec.Layout.MaxBay/2 {
		return back + around
	}
	return on + around
}
