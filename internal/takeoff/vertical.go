package takeoff

import (
	"slices"

	"wattle/internal/cutting"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// verticalBoards are boards fastened upright to rails.
var _ = define(family{
	Definition: *spec.VerticalBoards.Definition(),
	count:      countVertical,
})

// longer reports whether a need is of boards longer than the spec's.
func (n need) longer(s *spec.Spec) bool {
	return n.name != boardItem(s.Boards.Size, s.Boards.Stock).name
}

// boardSticks are boards that are cut from longer ones by a plan.
func boardSticks(n need, s *spec.Spec, stocks []measure.Length) sticks {
	long := markedLength(s.BoardLength(), stocks)
	cut := step("boards.cut", "", optional([]Input{length("height", s.Height), length("ground clearance", value(s.GroundClearance))}, "lattice", s.Extras.Lattice)...).
		exactly(lengthText(long))
	first := slices.IndexFunc(n.steps, func(x Step) bool { return x.Rule == "boards.length" })
	steps := slices.Clone(n.steps)
	steps[first] = cut
	return sticks{
		use: "boards " + string(s.Boards.Size), longer: "board", stock: stocks, field: "spec.details.stock_1", waste: s.Waste.Boards,
		item: func(stock measure.Length) item { return boardItem(s.Boards.Size, stock) },
		way:  way{pieces: []cutting.Piece{{Length: long, Count: countOf(n.net)}}, steps: steps},
	}
}

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
	if moves := g.boardMovement(); len(moves) > 0 {
		hung[0].steps = slices.Concat(moves, hung[0].steps)
	}
	if stocks := boardStocks(g.s); len(stocks) > 0 && !hung[0].longer(g.s) {
		g.cut(boardSticks(hung[0], g.s, stocks))
		hung = hung[1:]
	}
	g.need(hung...)
	g.cut(g.rails(), kickBoards(g.l, g.s))
	g.boardNails()
}
