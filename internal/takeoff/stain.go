package takeoff

import (
	"math/big"

	"wattle/internal/measure"
	"wattle/internal/money"
)

func stainItem() item { return item{"stain", "Stain", Stain, Gallon, ""} }

// ft2 is an area in square feet.
func ft2(a, b measure.Length) *big.Rat {
	area := quotient(a, measure.Foot)
	return area.Mul(area, quotient(b, measure.Foot))
}

// stained is the area that is stained in one coat, 0 where none is: upright
// boards by their number, a rip as a whole board; boards that lie by the fence's
// length and the boards' height, without edges. Rails and posts count nothing:
// brushes reach them from what the last gallon leaves.
func (g *gathered) stained() *big.Rat {
	e := g.s.Extras
	if e.Stain.Coats == 0 || !g.s.HasBoards() {
		return new(big.Rat)
	}
	if n := g.boardsHung(); n > 0 {
		return new(big.Rat).Mul(whole(n+g.leafBoards()), ft2(g.boardGirth(), g.s.BoardLength()))
	}
	area := ft2(g.out.NetLength, g.s.BoardLength())
	return area.Mul(area, whole(e.Stain.Sides))
}

// boardGirth is how far a brush goes around a board: its stained sides and, if
// asked, its edges.
func (g *gathered) boardGirth() measure.Length {
	b, st := g.s.Boards, g.s.Extras.Stain
	girth := measure.Length(st.Sides) * b.Width
	if st.Edges {
		girth += 2 * b.Thickness
	}
	return girth
}

func (g *gathered) leafBoards() int {
	n := 0
	for _, f := range g.out.Leaves {
		n += f.Leaves * f.Boards
	}
	return n
}

// stain is the gallons for all coats.
func (g *gathered) stain() {
	area := g.stained()
	if area.Sign() == 0 {
		return
	}
	st := g.s.Extras.Stain
	coverage := money.Rat(st.Coverage)
	if coverage.Sign() <= 0 {
		g.wrong.Add("spec.extras.stain.coverage", "expected more than 0 ft2 per gallon, found %s", st.Coverage)
		return
	}
	var steps []Step
	if n := g.boardsHung(); n > 0 {
		steps = append(steps, step("stain.boards", "", count("boards", n+g.leafBoards(), "board"), length("around", g.boardGirth()), length("length", g.s.BoardLength())).
			exactly(amount(area, "ft2")))
	} else {
		steps = append(steps, step("stain.face", "", length("fence", g.out.NetLength), length("height", g.s.BoardLength()), count("sides", st.Sides, "side")).
			exactly(amount(area, "ft2")))
	}
	gallons := new(big.Rat).Mul(area, whole(st.Coats))
	gallons.Quo(gallons, coverage)
	steps = append(steps, step("stain.gallons", "", Input{"area", number(area), "ft2"}, count("coats", st.Coats, "coat"), Input{"coverage", st.Coverage.Trim(0).String(), "ft2"}).
		exactly(amount(gallons, string(Gallon))))
	g.need(need{item: stainItem(), net: gallons, steps: steps})
}
