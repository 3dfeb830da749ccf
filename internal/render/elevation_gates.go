package render

import (
	"math"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// drawGate draws a gate's leaves as they are framed, shut.
func (e *elevationSheet) drawGate(s *strip, g placedGate) {
	o := e.layout.Openings[g.index]
	inner := g.from + e.layout.Posts[o.Start].Width/2
	outer := g.to - e.layout.Posts[o.End].Width/2
	if o.Slides {
		e.drawTail(s, g, o, inner, outer)
	}
	switch {
	case g.from < s.from || g.to > s.to:
		return // of another strip, or cut where no post lets a strip end elsewhere
	case o.Slides:
		e.drawLeaf(s, g, inner, outer, false)
		return
	}
	gap := *e.spec.Gates.HingeGap
	width := min(o.LeafWidth, outer-inner)
	if o.Leaves == 2 || o.HingeAtStart {
		e.drawLeaf(s, g, inner+gap, inner+gap+width, true)
	}
	if o.Leaves == 2 || !o.HingeAtStart {
		e.drawLeaf(s, g, outer-gap, outer-gap-width, true)
	}
}

// leafTop is the elevation of the tops of a gate's leaves: they are level, and
// clear of the highest ground in their opening and along which they slide.
func (e *elevationSheet) leafTop(g placedGate) measure.Length {
	from, to := g.from, g.to
	switch o := e.layout.Openings[g.index]; {
	case o.Slides && o.HingeAtStart:
		from += e.layout.Posts[o.Start].Width/2 - o.LeafWidth
	case o.Slides:
		to += o.LeafWidth - e.layout.Posts[o.End].Width/2
	}
	_, grade := e.ground.Range(from, to)
	return grade + e.height
}

// leafPane is the pane of a leaf between two stations.
func (e *elevationSheet) leafPane(s *strip, g placedGate, from, to measure.Length) pane {
	top := e.leafTop(g)
	return pane{e.at(s, from, top), e.at(s, to, top), e.height, e.up}
}

// drawLeaf draws a leaf from its hinges to its latch: of wood its outline and a
// brace from the foot of its hinge side; of tube its frame with what fills it.
func (e *elevationSheet) drawLeaf(s *strip, g placedGate, hinge, latch measure.Length, hinged bool) {
	p := e.leafPane(s, g, min(hinge, latch), max(hinge, latch))
	if p.wide() < 0.01 {
		return
	}
	low := e.clearance()
	a, b := p.at(0, low), p.at(p.wide(), e.height)
	if hinge > latch {
		a, b = p.at(p.wide(), low), p.at(0, e.height)
	}
	whole := e.spec.Family == spec.Wire // a tube gate
	braced := e.spec.Gates.Frame == spec.WoodFrame || e.spec.Gates.Frame == spec.SteelFrame && hinged && !whole
	frame := func(fill string, s stroke) { e.polygon(fill, s, a, vec{b.x, a.y}, b, vec{a.x, b.y}) }
	switch {
	case e.spec.Gates.Frame == spec.WoodFrame:
		frame(white, stroke{blue, 1})
	case whole:
		const bars = 5
		frame(white, stroke{blue, 1.6})
		for i := 1; i < bars; i++ {
			e.path(p.line(low+(e.height-low)*measure.Length(i)/bars), "none", stroke{blue, 0.8})
		}
	default:
		frame(white, stroke{})
		e.hang(p)
		e.middles(p, hinged)
		frame("none", stroke{blue, 1.6})
	}
	if braced {
		e.line(a, b, stroke{blue, 0.5})
	}
	if hinged {
		for _, c := range []float64{0.15, 0.85} { // where the hinges are, about
			y := a.y + (b.y-a.y)*c
			e.line(vec{a.x - math.Copysign(2, b.x-a.x), y}, vec{a.x + math.Copysign(3, b.x-a.x), y}, stroke{blue, 1.4})
		}
	}
	e.mask.fill(box{a.towards(b, 0.5), math.Abs(b.x-a.x) + 2, math.Abs(b.y-a.y) + 2, 0}, ink)
}

// middles are the frame's members between its edges: a rail half-way up a
// high leaf of steel that swings, else uprights (common practice).
func (e *elevationSheet) middles(p pane, hinged bool) {
	const apart = 5 * measure.Foot
	low := e.clearance()
	if e.spec.Gates.Frame == spec.SteelFrame && e.height-low > apart {
		e.path(p.line((low+e.height)/2), "none", stroke{blue, 1})
	}
	if e.spec.Gates.Frame == spec.MeshFrame || !hinged {
		wide := float64(apart) * e.across
		if n := math.Ceil(p.wide()/wide - 1e-9); n > 1 {
			e.path(p.uprights(p.wide()/n, low, e.height), "none", stroke{blue, 1})
		}
	}
}

// drawTail draws what balances a leaf that slides, beside the fence, and the
// roller post that carries it there; both may lie on another strip than the
// opening.
func (e *elevationSheet) drawTail(s *strip, g placedGate, o layout.Opening, inner, outer measure.Length) {
	tail := o.LeafWidth - (outer - inner)
	from, to, roller := inner-tail, inner, inner-o.Clear/2
	if !o.HingeAtStart {
		from, to, roller = outer, outer+tail, outer+o.Clear/2
	}
	if _, end := e.ends(); o.Roller != nil && s.from <= roller && (roller < s.to || roller == end) {
		post := *o.Roller
		e.drawHole(s, roller, post)
		e.drawPost(s, roller, post)
		e.rollers = append(e.rollers, rollerMark{e.at(s, roller, post.Ground-post.Hole.Depth), o.Gate})
	}
	if from, to = max(from, s.from), min(to, s.to); from < to {
		p := e.leafPane(s, g, from, to)
		e.dashed(outline(p.band(0, p.wide(), e.clearance(), e.height)), stroke{blue, 1})
	}
}
