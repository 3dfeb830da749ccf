package layout

import (
	"slices"

	"wattle/internal/measure"
)

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

// doubled are the pairs of legs that both lead from one shared post to another:
// two fences in one place, though the legs may be up to 1/8 in apart.
func (p *planner) doubled() (pairs [][2]int32) {
	shared := func(m *mark) bool { n := &p.nodes[m.node]; return n.end-n.first > 1 }
	legs := make(map[[2]int32]int32) // by the nodes they lead between
	for run := range p.site.Runs {
		p.spans(run, func(a, b *mark) {
			if !shared(a) || !shared(b) {
				return
			}
			between := [2]int32{min(a.node, b.node), max(a.node, b.node)}
			if leg, known := legs[between]; known && leg != a.legOut {
				pairs = append(pairs, [2]int32{min(leg, a.legOut), max(leg, a.legOut)})
			} else {
				legs[between] = a.legOut
			}
		})
	}
	return pairs
}
