package render

import "slices"

// markGates names every gate with its clear opening.
func (e *elevationSheet) markGates(s *strip) {
	for _, g := range e.gates {
		if g.from < s.from || g.to > s.to {
			continue
		}
		o := e.layout.Openings[g.index]
		l := newLabel("gate "+shortened(o.Gate, labelSize, 110)+" "+tape(o.Clear), labelSize)
		if o.Slides {
			l = newLabel(l.text+", slides", labelSize)
		}
		l.colour = blue
		e.above(l, s, e.at(s, g.from+(g.to-g.from)/2, e.leafTop(g)), 0)
	}
}

// rollerMark is where a roller post ends below ground.
type rollerMark struct {
	foot vec
	gate string
}

// markRollers names the roller posts, which stand beside the fence and so have
// no column in the table.
func (e *elevationSheet) markRollers(s *strip) {
	for _, r := range e.rollers {
		l := newLabel("roller post, gate "+shortened(r.gate, baySize, 80), baySize)
		l.colour = blue
		var places []vec
		for _, down := range []float64{5.5, 7, 9, 13, -2, -6} {
			for _, dx := range []float64{0, 0.3, -0.3, 0.5, -0.5, 0.7, -0.7} {
				places = append(places, r.foot.add(vec{dx * l.box.width, down}))
			}
		}
		low := e.tableTop(s) - l.box.height/2
		places = slices.DeleteFunc(places, func(at vec) bool { return at.y > low+1 })
		if !e.place(l, s, places...) {
			e.leftMarks++
		}
	}
	e.rollers = nil
}
