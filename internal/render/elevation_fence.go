package render

import (
	"math"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
)

// drawBay draws what hangs in a bay, what fills the ground gap, and the line of
// the board tops.
func (e *elevationSheet) drawBay(s *strip, b placedBay) {
	startTop, endTop := e.tops(b)
	p := pane{e.at(s, b.from, startTop), e.at(s, b.to, endTop), e.height, e.up}
	if p.wide() < 0.01 {
		return
	}
	if fill := e.layout.Bays[b.index].Fill; fill > 0 {
		e.path(e.fillPath(s, b), tintFill, stroke{mid, 0.4})
	}
	e.hang(p)
	if e.spec.HasBoards() {
		e.line(p.a, p.z, stroke{dark, 1})
	}
	e.fillBelow(p.a, p.z, float64(e.height-e.clearance())*e.up)
	if n := e.barbStrands(); n > 0 {
		e.barbed(p, n)
		over := float64(barbedHigh) * e.up
		e.fillBelow(p.a.sub(vec{0, over}), p.z.sub(vec{0, over}), over)
	}
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

// drawPost draws a post: what stands above grade, and what is in the ground, with
// a point where it is driven.
func (e *elevationSheet) drawPost(s *strip, station measure.Length, p layout.Post) {
	half := e.halfPost(p)
	grade := e.at(s, station, p.Ground)
	top := e.at(s, station, p.Top())
	foot := grade.add(vec{0, float64(p.Hole.Embedment) * e.up})
	if p.Existing {
		foot = grade
	}
	if foot.y > grade.y {
		below := []vec{grade.add(vec{-half, 0}), grade.add(vec{half, 0}), foot.add(vec{half, 0}), foot.add(vec{-half, 0})}
		if p.Hole.Driven() {
			shoulder := vec{0, -min(3*half, foot.y-grade.y)}
			below = []vec{below[0], below[1], below[2].add(shoulder), foot, below[3].add(shoulder)}
		}
		e.polygon(white, stroke{dark, 0.5}, below...)
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
