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
	segments := make([]segment, len(p.legs))
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

// crosses reports whether two legs have more in common than one post, and the
// work it took.
func (p *planner) crosses(x, y *segment) (crosses bool, work int) {
	first, second := min(x.leg, y.leg), max(x.leg, y.leg)
	lx, ly := &p.legs[first], &p.legs[second]
	if second == first+1 && lx.run == ly.run {
		return p.marks[ly.from].turn == 180*measure.Degree, 0 // straight back
	}
	if p.holds(lx, ly) {
		return false, 0
	}
	if p.marksOn(first)*p.marksOn(second) > closeLook && p.crossAtPost(first, second) {
		return false, closeLook
	}
	xs, ys := p.onLeg(first), p.onLeg(second)
	work = closeLook + len(xs)*len(ys)
	switch node, shared := sharedPosts(xs, ys); {
	case shared > 1:
		return true, work // the same line twice
	case shared == 1:
		// Straight legs through one post meet again only on one line.
		outX, endsX := p.outward(lx, node)
		outY, endsY := p.outward(ly, node)
		turn := measure.Turn(measure.Point{}, outX, outX.Add(outY))
		return turn == 0 || turn == 180*measure.Degree && !(endsX && endsY), work
	}
	a, b := side(x.a, x.b, y.a), side(x.a, x.b, y.b)
	c, d := side(y.a, y.b, x.a), side(y.a, y.b, x.b)
	if a == 0 && b == 0 && c == 0 && d == 0 {
		return true, work // on one line, and their extents overlap
	}
	return a != b && c != d, work
}

// marksOn is how many marks a leg has, those at both its ends among them.
func (p *planner) marksOn(leg int32) int {
	l := &p.legs[leg]
	if l.to > l.from {
		return int(l.to-l.from) + 1
	}
	return int(p.runs[l.run].marksEnd-l.from) + 1
}

// crossAtPost reports legs that cross in a post of both, at so wide an angle that
// they cannot share another.
func (p *planner) crossAtPost(a, b int32) bool {
	x, y := &p.legs[a].Leg, &p.legs[b].Leg
	onX, onY, cross := crossing(*x, *y)
	if !cross {
		return false
	}
	turn := measure.Turn(x.From, x.To, x.To.Add(y.To.Sub(y.From))).Abs()
	if turn < wide || turn > 180*measure.Degree-wide {
		return false
	}
	x0, x1 := p.around(a, onX)
	y0, y1 := p.around(b, onY)
	for _, m := range [...]int32{x0, x1} {
		for _, n := range [...]int32{y0, y1} {
			if m != none && n != none && p.marks[m].node == p.marks[n].node {
				return true
			}
		}
	}
	return false
}

// onLeg are the nodes of the posts on a leg.
func (p *planner) onLeg(leg int32) []int32 {
	l := &p.legs[leg]
	nodes := append(make([]int32, 0, 8), p.marks[l.to].node)
	for i := l.from; int(i) < len(p.marks) && p.marks[i].legOut == leg; i++ {
		nodes = append(nodes, p.marks[i].node)
	}
	return nodes
}

// sharedPosts counts the nodes that two legs have in common, and is one of
// them.
func sharedPosts(xs, ys []int32) (node int32, shared int) {
	for _, x := range xs {
		if slices.Contains(ys, x) {
			node = x
			shared++
		}
	}
	return node, shared
}

// outward is the step from a post on the leg to its end, and whether the post is at
// the leg's own end.
func (p *planner) outward(l *leg, node int32) (step measure.Point, ends bool) {
	switch node {
	case p.marks[l.from].node:
		return l.To.Sub(l.From), true
	case p.marks[l.to].node:
		return l.From.Sub(l.To), true
	default:
		return l.To.Sub(l.From), false
	}
}

// side is where c lies, seen from a looking to b: 1 left, -1 right, 0 on the
// line.
func side(a, b, c measure.Point) int {
	switch turn := measure.Turn(a, b, c); {
	case turn == 0 || turn == 180*measure.Degree:
		return 0
	case turn > 0:
		return 1
	default:
		return -1
	}
}
