package layout

import (
	"cmp"
	"fmt"
	"slices"

	"wattle/internal/measure"
)

const (
	// mostWork bounds the search for crossings, in comparisons of two legs'
	// extents; a closer look at a pair counts as closeLook of them. It serves
	// 6,000 legs side by side, 400 that all cross, and any number apart.
	mostWork  = 20_000_000
	closeLook = 200
	// wide is a safe angle between two legs that share one post at most: a post's
	// width on, they are further apart than marks of one post.
	wide = 20 * measure.Degree
	// mostCrossings is the most that are told one by one.
	mostCrossings = 50
)

// segment is a leg as the search for crossings sees it: at a free end it
// reaches as far as the post's own edge, so that a run that ends at another
// without meeting it exactly is found too.
type segment struct {
	leg                      int32
	a, b                     measure.Point
	west, east, south, north measure.Length
}

// cautionCrossings says where legs cross or touch without sharing a post, and
// where two lie on the same line. Neither is refused: a fence may be drawn so,
// and a person should look.
func (p *planner) cautionCrossings() {
	pairs, complete := p.crossings()
	if p.rules >= 2 {
		pairs = append(pairs, p.doubled()...)
	}
	// One caution for each pair of runs, at the first place in walking order.
	slices.SortFunc(pairs, func(x, y [2]int32) int {
		return cmp.Or(cmp.Compare(x[0], y[0]), cmp.Compare(x[1], y[1]))
	})
	runs := func(x [2]int32) [2]int32 { return [2]int32{p.legs[x[0]].run, p.legs[x[1]].run} }
	slices.SortStableFunc(pairs, func(x, y [2]int32) int {
		x, y = runs(x), runs(y)
		return cmp.Or(cmp.Compare(x[0], y[0]), cmp.Compare(x[1], y[1]))
	})
	pairs = slices.CompactFunc(pairs, func(x, y [2]int32) bool { return runs(x) == runs(y) })
	for i, pair := range pairs {
		if i == mostCrossings {
			p.out.Cautions = append(p.out.Cautions, Caution{
				Code:  "runs-cross",
				Text:  fmt.Sprintf("%d further pairs of runs cross or touch without a shared post.", len(pairs)-i),
				Field: "site.runs",
			})
			break
		}
		a, b := &p.legs[pair[0]], &p.legs[pair[1]]
		text := fmt.Sprintf("Run %q between %s and %s and run %q between %s and %s cross or touch without a shared post; a vertex of each where they meet gives them one.",
			p.site.Runs[a.run].ID, p.at(int(a.run), a.Start), p.at(int(a.run), a.End), p.site.Runs[b.run].ID, p.at(int(b.run), b.Start), p.at(int(b.run), b.End))
		if a.run == b.run {
			text = fmt.Sprintf("Run %q crosses or touches itself: its leg from %s to %s and its leg from %s to %s.",
				p.site.Runs[a.run].ID, p.at(int(a.run), a.Start), p.at(int(a.run), a.End), p.at(int(b.run), b.Start), p.at(int(b.run), b.End))
		}
		p.out.Cautions = append(p.out.Cautions, Caution{Code: "runs-cross", Text: text, Field: fmt.Sprintf("site.runs[%d]", b.run)})
	}
	if !complete {
		p.out.Cautions = append(p.out.Cautions, Caution{
			Code:  "crossings-not-checked",
			Text:  fmt.Sprintf("The site's %d legs lie too close together to look at every pair of them, so runs that cross are not all reported.", len(p.legs)),
			Field: "site.runs",
		})
	}
}

// crossings are the pairs of legs that cross, the lower leg first; not complete
// where the bound on comparisons stopped the search. The search sweeps along
// the direction in which the legs reach over less ground.
func (p *planner) crossings() (pairs [][2]int32, complete bool) {
	if len(p.legs) < 2 {
		return nil, true
	}
	p.segments = zeros(p.segments, len(p.legs))
	segments := p.segments
	var alongEast, alongNorth measure.Length
	for i := range p.legs {
		s := p.segment(int32(i))
		segments[i] = s
		alongEast += s.east - s.west
		alongNorth += s.north - s.south
	}
	if alongNorth < alongEast {
		for i := range segments {
			s := &segments[i]
			s.west, s.east, s.south, s.north = s.south, s.north, s.west, s.east
		}
	}
	slices.SortFunc(segments, func(x, y segment) int {
		return cmp.Or(cmp.Compare(x.west, y.west), cmp.Compare(x.leg, y.leg))
	})
	work := 0
	for i := range segments {
		x := &segments[i]
		for j := i + 1; j < len(segments) && segments[j].west <= x.east; j++ {
			y := &segments[j]
			work++
			if y.south <= x.north && x.south <= y.north {
				crosses, took := p.crosses(x, y)
				if work += took; crosses {
					pairs = append(pairs, [2]int32{min(x.leg, y.leg), max(x.leg, y.leg)})
				}
			}
			if work > mostWork {
				return pairs, false
			}
		}
	}
	return pairs, true
}

func (p *planner) segment(i int32) segment {
	l := &p.legs[i]
	s := segment{leg: i, a: l.From, b: l.To}
	if from := &p.marks[l.from]; p.free(from) {
		s.a = l.At(l.Start - from.width/2)
	}
	if to := &p.marks[l.to]; p.free(to) {
		s.b = l.At(l.End + to.width/2)
	}
	s.west, s.east = min(s.a.East, s.b.East), max(s.a.East, s.b.East)
	s.south, s.north = min(s.a.North, s.b.North), max(s.a.North, s.b.North)
	return s
}

// free reports an end that stands alone and against no wall.
func (p *planner) free(m *mark) bool {
	n := &p.nodes[m.node]
	return !m.passes() && !m.wall && n.end-n.first == 1
}
