package render

import (
	"math"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
)

// drawBay draws the boards of a bay, the rails they hang on, what fills the
// ground gap, and the line of the board tops.
func (e *elevationSheet) drawBay(s *strip, b placedBay) {
	startTop, endTop := e.tops(b)
	board := e.boardLength()
	a, z := e.at(s, b.from, startTop), e.at(s, b.to, endTop)
	down := vec{0, float64(board) * e.up}
	if z.x-a.x < 0.01 {
		return
	}
	if fill := e.layout.Bays[b.index].Fill; fill > 0 {
		e.path(e.fillPath(s, b), tintFill, stroke{mid, 0.4})
	}
	e.polygon(tintBoards, stroke{wood, 0.5}, a, z, z.add(down), a.add(down))
	if pitch := float64(e.spec.Boards.Width+e.spec.Boards.Gap) * e.across; pitch >= 2.5 {
		var seams strings.Builder
		for x := pitch; x < z.x-a.x; x += pitch {
			top := a.towards(z, x/(z.x-a.x))
			seams.WriteString("M" + pair(top) + "V" + number(top.y+down.y))
		}
		e.path(seams.String(), "none", stroke{wood, 0.25})
	}
	for _, c := range e.railCentres() {
		off := vec{0, float64(e.height-c) * e.up}
		half := max(float64(e.spec.RailDepth())*e.up/2, 0.4)
		p, q := a.add(off), z.add(off)
		if half < 1 {
			e.line(p, q, stroke{mid, 2 * half})
		} else {
			e.polygon("none", stroke{mid, 0.5}, p.add(vec{0, -half}), q.add(vec{0, -half}), q.add(vec{0, half}), p.add(vec{0, half}))
		}
	}
	e.line(a, z, stroke{dark, 1})
	e.fillBelow(a, z, down.y)
}

// fillBelow keeps text off what hangs so deep below the line from a to b.
func (e *elevationSheet) fillBelow(a, b vec, deep float64) {
	const slice = 6
	n := 1
	if a.y != b.y {
		n = int((b.x-a.x)/slice) + 1
	}
	for i := range n {
		from, to := a.towards(b, float64(i)/float64(n)), a.towards(b, float64(i+1)/float64(n))
		e.mask.fill(box{from.towards(to, 0.5).add(vec{0, deep / 2}), to.x - from.x, deep + 2 + math.Abs(to.y-from.y), 0}, ink)
	}
}

// railCentres are above grade, as the spec has them; a spec of unreasonably many
// rails has none drawn.
func (e *elevationSheet) railCentres() []measure.Length {
	if n := e.spec.RailCount(); n < 0 || n > 50 {
		return nil
	}
	return e.spec.RailCentres()
}

// boardLength is from the tops to the lower ends of the boards.
func (e *elevationSheet) boardLength() measure.Length {
	return max(e.height-*e.spec.GroundClearance, 0)
}

// fillPath is what lies between the lower ends of a bay's boards and the ground
// clearance.
func (e *elevationSheet) fillPath(s *strip, b placedBay) string {
	startTop, endTop := e.tops(b)
	board, clearance := e.boardLength(), *e.spec.GroundClearance
	a, z := e.at(s, b.from, startTop-board), e.at(s, b.to, endTop-board)
	lower := e.profile(s, b.from, b.to)
	var data strings.Builder
	data.WriteString("M" + pair(a))
	for _, p := range lower {
		edge := a.towards(z, (p.x-a.x)/(z.x-a.x))
		data.WriteString("L" + pair(vec{p.x, max(edge.y, p.y-float64(clearance)*e.up)}))
	}
	data.WriteString("L" + pair(z) + "Z")
	return data.String()
}

// drawPost draws a post: what stands above grade, and what is in the ground.
func (e *elevationSheet) drawPost(s *strip, v visited) {
	p := e.post(v)
	half := e.halfPost(p)
	grade := e.at(s, v.station, p.Ground)
	top := e.at(s, v.station, p.Top())
	foot := grade.add(vec{0, float64(p.Hole.Embedment) * e.up})
	if p.Existing {
		foot = grade
	}
	if foot.y > grade.y {
		e.polygon(white, stroke{dark, 0.5}, grade.add(vec{-half, 0}), grade.add(vec{half, 0}), foot.add(vec{half, 0}), foot.add(vec{-half, 0}))
	}
	fill := white
	switch {
	case p.Existing:
		fill = light
	case p.Role != layout.Line:
		fill = dark
	}
	e.polygon(fill, stroke{dark, 0.6}, top.add(vec{-half, 0}), top.add(vec{half, 0}), grade.add(vec{half, 0}), grade.add(vec{-half, 0}))
	e.mask.fill(lineBox(top, foot, 2*half+2), ink)
}

// halfPost is half a post's width on paper, never too thin to be seen.
func (e *elevationSheet) halfPost(p layout.Post) float64 {
	const least = 1
	half := float64(p.Width) * e.across / 2
	if half < least {
		half, e.enlarged = least, true
	}
	return half
}

// drawGate draws the outline of a gate's leaves, each with a brace from its
// hinge side's foot.
func (e *elevationSheet) drawGate(s *strip, g placedGate) {
	o := e.layout.Openings[g.index]
	if g.from < s.from || g.to > s.to {
		return // cut by the strip's end: only where no post lets it be cut elsewhere
	}
	_, grade := e.ground.Range(g.from, g.to)
	low, high := grade+*e.spec.GroundClearance, grade+e.height
	inner := g.from + e.layout.Posts[o.Start].Width/2
	outer := g.to - e.layout.Posts[o.End].Width/2
	leaf := func(hinge, latch measure.Length) {
		a, b := e.at(s, hinge, low), e.at(s, latch, high)
		e.polygon(white, stroke{blue, 1}, a, vec{b.x, a.y}, b, vec{a.x, b.y})
		e.line(a, b, stroke{blue, 0.5})
		for _, c := range []float64{0.15, 0.85} { // where the hinges are, about
			y := a.y + (b.y-a.y)*c
			e.line(vec{a.x - math.Copysign(2, b.x-a.x), y}, vec{a.x + math.Copysign(3, b.x-a.x), y}, stroke{blue, 1.4})
		}
		e.mask.fill(box{a.towards(b, 0.5), math.Abs(b.x-a.x) + 2, math.Abs(b.y-a.y) + 2, 0}, ink)
	}
	gap := *e.spec.Gates.HingeGap
	width := min(o.LeafWidth, outer-inner)
	if o.Leaves == 2 || o.HingeAtStart {
		leaf(inner+gap, inner+gap+width)
	}
	if o.Leaves == 2 || !o.HingeAtStart {
		leaf(outer-gap, outer-gap-width)
	}
}
