package render

import (
	"strings"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// leastPitch is how far lines on paper stand apart at least.
const leastPitch = 2.5

// hangBoards draws upright boards and the rails they hang on: boards side by
// side as a face with seams over which rails are seen; where boards stand in two
// rows or apart, one by one, as far as there is room.
func (e *elevationSheet) hangBoards(p pane) {
	low := e.clearance()
	e.lattice(p)
	b := e.spec.Boards
	pitch, back := b.Width+b.Gap, false
	switch b.Pattern {
	case spec.BoardOnBoard:
		pitch, back = 2*(b.Width-b.Overlap), true
	case spec.ShadowBox:
		back = true
	default: // one row
	}
	apart := float64(pitch) * e.across
	if one := back || b.Pattern == spec.Spaced; !one || apart < leastPitch {
		e.polygon(tintBoards, stroke{wood, 0.5}, p.band(0, p.wide(), low, e.boardTop())...)
		if apart >= leastPitch {
			e.path(p.uprights(apart, low, e.boardTop()), "none", stroke{wood, 0.25})
		}
		e.boardRails(p, "none")
		return
	}
	if back {
		e.polygon(tintFill, stroke{wood, 0.4}, p.band(0, p.wide(), low, e.boardTop())...)
	} else {
		e.boardRails(p, white)
	}
	var front strings.Builder
	for x := 0.0; x < p.wide(); x += apart {
		front.WriteString(outline(p.band(x, min(x+float64(b.Width)*e.across, p.wide()), low, e.boardTop())))
	}
	e.path(front.String(), tintBoards, stroke{wood, 0.4})
}

// boardRails are the rails of upright boards.
func (e *elevationSheet) boardRails(p pane, fill string) {
	for _, c := range e.railCentres() {
		half := max(float64(e.spec.RailDepth())*p.up/2, 0.4)
		if half < 1 {
			e.line(p.at(0, c), p.at(p.wide(), c), stroke{mid, 2 * half})
			continue
		}
		off := vec{0, half}
		a, z := p.at(0, c), p.at(p.wide(), c)
		e.polygon(fill, stroke{mid, 0.5}, a.sub(off), z.sub(off), z.add(off), a.add(off))
	}
}

// hangCourses draws boards that lie, from the lowest up. What is left over the
// whole courses stays open, or takes a ripped one.
func (e *elevationSheet) hangCourses(p pane) {
	e.lattice(p)
	b := e.spec.Boards
	low, top := e.clearance(), e.boardTop()
	if b.Width <= 0 || float64(b.Width+b.Gap)*p.up < leastPitch {
		e.polygon(tintBoards, stroke{wood, 0.5}, p.band(0, p.wide(), low, top)...)
		return
	}
	var courses strings.Builder
	for ; low+b.Width <= top; low += b.Width + b.Gap {
		courses.WriteString(outline(p.band(0, p.wide(), low, low+b.Width)))
	}
	if e.spec.Details.On("rip_top") && top-low >= *b.MinRip {
		courses.WriteString(outline(p.band(0, p.wide(), low, top)))
	}
	e.path(courses.String(), tintBoards, stroke{wood, 0.5})
}

// lattice draws a lattice top over the boards.
func (e *elevationSheet) lattice(p pane) {
	if high := e.spec.Extras.Lattice; high > 0 {
		e.polygon(white, stroke{wood, 0.5}, p.band(0, p.wide(), e.boardTop(), e.boardTop()+high)...)
		e.path(crossed(p.at(0, e.height), p.at(p.wide(), e.height), float64(high)*p.up), "none", stroke{wood, 0.4})
	}
}

// boardTop is how high boards reach over grade.
func (e *elevationSheet) boardTop() measure.Length {
	return max(e.height-e.spec.Extras.Lattice, e.clearance())
}

// clearance is what stays open over the ground.
func (e *elevationSheet) clearance() measure.Length {
	return min(*e.spec.GroundClearance, e.height)
}
