package takeoff

import (
	"slices"

	"wattle/internal/spec"
)

// verticalBoards are boards fastened upright to rails.
var _ = define(family{
	Definition: *spec.VerticalBoards.Definition(),
	count:      countVertical,
})

func countVertical(g *gathered) {
	if b := g.s.Boards; b.Width <= 0 || b.Gap < 0 {
		g.wrong.Add("spec.boards", "expected boards with a width and a gap of zero or more, found %s and %s", b.Width, b.Gap)
		return
	}
	if b := g.s.Boards; twoRows(b) && (overlapTwice(b) <= 0 || overlapTwice(b) >= b.Width) {
		g.wrong.Add("spec.boards", "expected boards of two rows that cover less than half of one another, found boards of %s that cover %s", b.Width, overlapTwice(b)/2)
		return
	}
	var alike tally[faceKind]
	g.out.Faces, alike = boardStretches(g.l, g.s)
	hung := boards(g.l, g.s, g.out.Faces, alike, g.out.Leaves)
	hung[0].steps = slices.Concat(g.boardMovement(), hung[0].steps)
	g.need(hung...)
	g.cut(g.rails(), kickBoards(g.l, g.s))
	g.boardNails()
}
