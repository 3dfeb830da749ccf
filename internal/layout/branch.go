package layout

import (
	"cmp"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// branch gives runs a fixed post wherever an end (from rules version 2 on, or a
// vertex) comes to one of their legs, so that the two share it: no line post is
// placed beside the end.
func (p *planner) branch(v *fault.List) {
	found := p.findBranches()
	if len(found) == 0 {
		return
	}
	moved := p.insert(found, v)
	for _, b := range found {
		p.joins = append(p.joins, [2]int32{moved[b.end], b.mark})
	}
}

// nextOnLeg is the station, on the leg that leaves mark i, of the fixed post
// after it.
func (p *planner) nextOnLeg(i int32) measure.Length {
	leg := p.marks[i].legOut
	if n := i + 1; int(n) < len(p.marks) && p.marks[n].legIn == leg {
		return p.marks[n].station
	}
	return p.legs[leg].End
}

// findBranches sweeps along the direction in which the legs reach over less
// ground.
func (p *planner) findBranches() (found []spot) {
	var east, north measure.Length
	for i := range p.legs {
		step := p.legs[i].To.Sub(p.legs[i].From)
		east, north = east+step.East.Abs(), north+step.North.Abs()
	}
	along := func(at measure.Point) measure.Length { return at.East }
	if north < east {
		along = func(at measure.Point) measure.Length { return at.North }
	}
	var ends []int32
	for i := range p.marks {
		if p.marks[i].held != nil {
			continue
		}
		if !p.marks[i].passes() || p.rules >= 2 && p.marks[i].vertex >= 0 {
			ends = append(ends, int32(i))
		}
	}
	slices.SortStableFunc(ends, func(x, y int32) int { return cmp.Compare(along(p.marks[x].at), along(p.marks[y].at)) })
	for i := range p.legs {
		l := &p.legs[i]
		a, b := along(l.From), along(l.To)
		first, _ := slices.BinarySearchFunc(ends, min(a, b)-together, func(e int32, low measure.Length) int { return cmp.Compare(along(p.marks[e].at), low) })
		for _, e := range ends[first:] {
			m := &p.marks[e]
			if along(m.at) > max(a, b)+together {
				break
			}
			if station, on := p.standsOn(int32(i), m); on {
				found = append(found, spot{leg: int32(i), station: station, pin: none, branched: true, end: e})
			}
		}
	}
	return found
}

// foot is the station of a leg that is nearest to a point, and whether it lies
// within the leg: from the distances to both vertices.
func foot(l *site.Leg, to measure.Point) (station measure.Length, within bool) {
	before, after := l.From.DistanceTo(to), l.To.DistanceTo(to)
	off, ok := measure.MulDivRound(int64(before-after), int64(before+after), 2*int64(l.Length()))
	station = l.Start + l.Length()/2 + measure.Length(off)
	return station, ok && station > l.Start && station < l.End
}

// standsOn is the station of a leg at which an end stands on it. It does not
// where it is the leg's own end, or so near a fixed post of the leg that it is
// that post or overlaps it, which meet finds, or within a gate's opening.
func (p *planner) standsOn(leg int32, m *mark) (station measure.Length, on bool) {
	l := &p.legs[leg]
	if m.legIn == leg || m.legOut == leg ||
		m.at.East < min(l.From.East, l.To.East)-together || m.at.East > max(l.From.East, l.To.East)+together ||
		m.at.North < min(l.From.North, l.To.North)-together || m.at.North > max(l.From.North, l.To.North)+together {
		return 0, false
	}
	station, within := foot(&l.Leg, m.at)
	if !within || l.At(station).DistanceTo(m.at) > together {
		return 0, false
	}
	clear := func(o *mark) bool { return o.at.DistanceTo(m.at) >= (o.width+m.width)/2 }
	for i := l.from; ; i++ {
		if i == l.to {
			return 0, false // past the last post, in a wall's gap
		}
		o, next := &p.marks[i], &p.marks[l.to]
		last := int(i)+1 == len(p.marks) || p.marks[i+1].legIn != leg
		if !last {
			next = &p.marks[i+1]
		}
		if end := p.nextOnLeg(i); last || station < end {
			// Before the first post is a wall's gap too.
			return station, o.station < station && station < end && o.gateOut < 0 && clear(o) && clear(next)
		}
	}
}
