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
