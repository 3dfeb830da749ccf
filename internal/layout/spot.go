package layout

import (
	"cmp"
	"slices"
	"sort"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// spot is a place on a leg that takes a fixed post for another reason than a
// vertex or a gate: a user's pin, the end of a slope part, a break of grade, a
// long straight, a branch, a crossing.
type spot struct {
	leg     int32
	station measure.Length // of the leg's run
	pin     int32          // index of the pin, none for another reason
	because Because
	// fixed: the post may stand nowhere else, as a pin; else it is the post
	// that it would overlap.
	fixed    bool
	branched bool  // a branch ends here
	crosses  bool  // another leg crosses here
	end      int32 // of a branch: the mark that ends here; of a crossing: which one
	mark     int32 // the mark that stands here, once there is one
}

// post is the set post of the spot: a terminal one where a fence ends at it,
// crosses, or pulls.
func (s *spot) post(p *planner) *setPost {
	if s.branched || s.crosses || s.because != "" {
		return p.terminalPost()
	}
	return p.linePost()
}

// apply makes the mark what its spot asks for.
func (s *spot) apply(p *planner, m *mark) {
	own := s.post(p)
	m.grow(own.post.Size, own.width)
	switch {
	case s.branched, s.crosses:
		return
	case s.because != "":
		m.because = s.because
	default:
		m.pinned = true
	}
	if s.pin >= 0 && p.site.Runs[m.run].Pins[s.pin].Existing {
		m.existing = true
	}
}

// insert gives every spot a mark: one that stands there already, or a new one
// in walking order. Pins that no post can stand at are noted. It answers, by
// old index, where each mark is now.
func (p *planner) insert(spots []spot, v *fault.List) (moved []int32) {
	slices.SortStableFunc(spots, func(x, y spot) int {
		return cmp.Or(cmp.Compare(x.leg, y.leg), cmp.Compare(x.station, y.station))
	})
	fresh := make([]int32, 0, len(spots)) // spots that take a new mark
	for i := range spots {
		s := &spots[i]
		if s.mark = p.taken(s, v); s.mark == none {
			fresh = append(fresh, int32(i))
		}
	}
	marks := make([]mark, 0, len(p.marks)+len(fresh))
	moved = make([]int32, len(p.marks))
	for i := range p.marks {
		moved[i] = int32(len(marks))
		marks = append(marks, p.marks[i])
		for len(fresh) > 0 && spots[fresh[0]].leg == p.marks[i].legOut && spots[fresh[0]].station < p.nextOnLeg(int32(i)) {
			s := &spots[fresh[0]]
			own := s.post(p)
			fresh = fresh[1:]
			last := &marks[len(marks)-1]
			if len(marks)-1 > int(moved[i]) && s.station-last.station <= s.within(last.width, own.width) {
				s.mark = int32(-2 - (len(marks) - 1))
				s.apply(p, last)
				last.branched = last.branched && (s.branched || s.crosses)
				continue
			}
			if len(marks)-1 > int(moved[i]) && s.pin >= 0 && s.station-last.station < (last.width+own.width)/2 {
				p.noteSpot(s, v, "stands %s from the post before it, which overlaps it", (s.station - last.station).Imperial())
			}
			s.mark = int32(-2 - len(marks))
			m := mark{
				run: p.marks[i].run, node: none, vertex: none, gateIn: none, gateOut: none,
				legIn: s.leg, legOut: s.leg,
				size: own.post.Size, width: own.width,
				station: s.station, at: p.legs[s.leg].At(s.station), branched: s.branched || s.crosses,
			}
			s.apply(p, &m)
			marks = append(marks, m)
		}
	}
	p.renumber(marks, moved)
	for i := range spots {
		switch s := &spots[i]; {
		case s.mark >= 0:
			s.mark = moved[s.mark]
		case s.mark < none:
			s.mark = -2 - s.mark
		}
	}
	return moved
}

// none is no mark, no leg, no vertex.
const none = -1

// within is how near a post must be to serve the spot as well.
func (s *spot) within(width, own measure.Length) measure.Length {
	if s.fixed || s.branched || s.crosses {
		return together
	}
	return (width + own) / 2
}

// taken is the mark on the spot's leg that serves it, none where it takes one
// of its own. It notes a pin within a gate's opening, in a wall's gap, or in
// another post.
func (p *planner) taken(s *spot, v *fault.List) int32 {
	if s.branched {
		return none // standsOn has seen to it
	}
	own := s.post(p).width
	before, after := p.around(s.leg, s.station)
	for _, m := range [...]int32{before, after} {
		if m == none {
			continue
		}
		apart := (p.stationOn(s.leg, m) - s.station).Abs()
		o := &p.marks[m]
		if apart <= s.within(o.width, own) {
			s.apply(p, o)
			return m
		}
		if apart < (o.width+own)/2 {
			p.noteSpot(s, v, "would stand in %s: their centres are %s apart and need %s", p.name(o), apart.Imperial(), ((o.width + own) / 2).Imperial())
			return m
		}
	}
	switch {
	case before == none || after == none: // in a wall's gap
		m := max(before, after)
		if s.fixed {
			p.noteSpot(s, v, "stands between the wall and %s", p.name(&p.marks[m]))
		}
		s.apply(p, &p.marks[m])
		return m
	case p.marks[before].gateOut >= 0 && p.marks[before].legOut == s.leg:
		run, gate := int(p.marks[before].run), int(p.marks[before].gateOut)
		switch {
		case s.fixed:
			p.noteSpot(s, v, "stands in the opening of gate %q", p.site.Runs[run].Gates[gate].ID)
		case s.crosses:
			v.Index(run).At("gates").Index(gate).Add("station", "a fence crosses the opening at %s", p.at(run, s.station))
		}
		s.apply(p, &p.marks[after])
		return after
	}
	return none
}

func (p *planner) noteSpot(s *spot, v *fault.List, format string, args ...any) {
	if s.pin < 0 {
		return
	}
	run := int(p.legs[s.leg].run)
	v.Index(run).At("pins").Index(int(s.pin)).Add("station", "the post at %s "+format, append([]any{p.at(run, s.station)}, args...)...)
}

// around are the last mark of a leg at or before a station and the first one
// past it, none where the wall of a tie-in is nearer.
func (p *planner) around(leg int32, station measure.Length) (before, after int32) {
	l := &p.legs[leg]
	n := p.marksOn(leg)
	at := func(i int) int32 {
		if i == n-1 {
			return l.to
		}
		return l.from + int32(i)
	}
	past := sort.Search(n, func(i int) bool { return p.stationOn(leg, at(i)) > station })
	before, after = none, none
	if past > 0 {
		before = at(past - 1)
	}
	if past < n {
		after = at(past)
	}
	return before, after
}

// stationOn is a mark's station as its leg counts: at the end of a closed run's
// last leg the run's length, not 0.
func (p *planner) stationOn(leg, m int32) measure.Length {
	if p.marks[m].station < p.legs[leg].Start {
		return p.legs[leg].End
	}
	return p.marks[m].station
}

// renumber puts marks in the place of the planner's, each of which is now where
// moved says.
func (p *planner) renumber(marks []mark, moved []int32) {
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
}
