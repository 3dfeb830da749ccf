package layout

import (
	"cmp"
	"slices"

	"wattle/internal/measure"
)

// branch is an end that stands on a leg, away from the fixed posts there: the
// run of the leg takes a post where the end meets it.
type branch struct {
	end     int32 // mark
	leg     int32
	station measure.Length // of the leg's run
	through int32          // the run's mark there, once it has one
}

// branch gives runs a fixed post wherever an end comes to one of their legs, so
// that the two share it: no line post is placed beside the end.
func (p *planner) branch() {
	found := p.findBranches()
	if len(found) == 0 {
		return
	}
	slices.SortStableFunc(found, func(x, y branch) int {
		return cmp.Or(cmp.Compare(x.leg, y.leg), cmp.Compare(x.station, y.station))
	})
	line := p.kind(kind{size: p.spec.Posts.Size})
	marks := make([]mark, 0, len(p.marks)+len(found))
	moved := make([]int32, len(p.marks)) // by old index, the new one
	next := 0
	for i := range p.marks {
		m := p.marks[i]
		moved[i] = int32(len(marks))
		marks = append(marks, m)
		for ; next < len(found) && found[next].leg == m.legOut && found[next].station < p.nextOnLeg(int32(i)); next++ {
			b := &found[next]
			if last := &marks[len(marks)-1]; last.branched && near(last.station, b.station) {
				b.through = int32(len(marks) - 1)
				continue
			}
			b.through = int32(len(marks))
			marks = append(marks, mark{
				run: m.run, node: -1, vertex: -1, gateIn: -1, gateOut: -1,
				legIn: b.leg, legOut: b.leg,
				size: line.post.Size, width: line.width,
				station: b.station, at: p.legs[b.leg].At(b.station), branched: true,
			})
		}
	}
	p.marks = marks
	for i := range p.legs {
		l := &p.legs[i]
		l.from, l.to = moved[l.from], moved[l.to]
	}
	total := int32(len(marks))
	for i := len(p.runs) - 1; i >= 0; i-- {
		r := &p.runs[i]
		r.marks, r.marksEnd = moved[r.marks], total
		total = r.marks
	}
	for i := range found {
		found[i].end = moved[found[i].end]
	}
	p.branches = found
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
func (p *planner) findBranches() (found []branch) {
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
		if !p.marks[i].passes() {
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
				found = append(found, branch{end: e, leg: int32(i), station: station})
			}
		}
	}
	return found
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
	// The foot of the perpendicular, from the end's distances to both vertices.
	before, after := l.From.DistanceTo(m.at), l.To.DistanceTo(m.at)
	off, ok := measure.MulDivRound(int64(before-after), int64(before+after), 2*int64(l.Length()))
	station = l.Start + l.Length()/2 + measure.Length(off)
	if !ok || station <= l.Start || station >= l.End || l.At(station).DistanceTo(m.at) > together {
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
