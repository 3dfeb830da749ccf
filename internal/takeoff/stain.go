package takeoff

import (
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/rational"
	"wattle/internal/spec"
)

func stainItem() item { return item{"stain", "Stain", Stain, Gallon, ""} }

// ft2 is an area in square feet.
func ft2(a, b measure.Length) rational.Number {
	area := quotient(a, measure.Foot)
	return area.Mul(quotient(b, measure.Foot))
}

// stainedPart is a part of what is stained in one coat: its square feet, and how
// they were counted.
type stainedPart struct {
	name string // "of the fence"
	area rational.Number
	step Step
}

// stained is the area that is stained in one coat, 0 where none is.
func (g *gathered) stained() rational.Number {
	area := rational.Number{}
	for _, p := range g.stainedParts() {
		area = area.Add(p.area)
	}
	return area
}

// stainedParts: upright boards by their number and the length that stands, a rip
// as a whole board; boards that lie by the width of the fence and of the leaves
// and the boards' height, without edges. Rails and posts count nothing: brushes
// reach them from what the last gallon leaves (common practice).
func (g *gathered) stainedParts() []stainedPart {
	if g.s.Extras.Stain.Coats == 0 || !g.s.HasBoards() {
		return nil
	}
	if g.boardsHung() > 0 {
		return g.stainedBoards()
	}
	sides, high := g.s.Extras.Stain.Sides, g.s.BoardLength()
	face := func(wide measure.Length) rational.Number { return ft2(wide, high).Mul(whole(sides)) }
	inputs := func(name string, wide measure.Length) []Input {
		return []Input{length(name, wide), length("height", high), count("sides", sides, "side")}
	}
	area := face(g.out.NetLength)
	all := []stainedPart{{"of the fence", area, step("stain.face", "", inputs("fence", g.out.NetLength)...).exactly(amount(area, "ft2"))}}
	for _, o := range g.l.Openings {
		area := face(leafInfill(o))
		area = area.Mul(whole(o.Leaves))
		told := append([]Input{count("leaves", o.Leaves, "leaf")}, inputs("width", leafInfill(o))...)
		all = append(all, stainedPart{"of gate " + o.Gate, area, step("stain.leaves", "Gate "+o.Gate, told...).exactly(amount(area, "ft2"))})
	}
	return all
}

// stainedBoards are the upright boards by the length that stands.
func (g *gathered) stainedBoards() []stainedPart {
	girth := g.boardGirth()
	var lengths tally[measure.Length]
	g.eachLength(func(long measure.Length, n int) { lengths.add(long, 0, n) })
	var all []stainedPart
	for i, long := range lengths.kinds {
		n := lengths.times[i]
		area := whole(n).Mul(ft2(girth, long))
		all = append(all, stainedPart{"of boards of " + shown(lengthText(long)), area, step("stain.boards", "", count("boards", n, "board"), length("around", girth), length("length", long)).
			exactly(amount(area, "ft2"))})
	}
	return all
}

// eachLength tells how many upright boards stand how long. Boards that fill a gap
// over the ground are longer: those of a stepped bay all, of a racked stretch as
// far as they are bought longer.
func (g *gathered) eachLength(f func(long measure.Length, n int)) {
	usual := g.s.BoardLength()
	for i := range g.out.Faces {
		face := &g.out.Faces[i]
		if bay := g.l.Bays[face.Bay]; face.Stepped && bay.Fill > 0 && g.s.Slope.Fill == spec.LongerBoards {
			f(usual+bay.Fill, face.Boards)
			continue
		}
		rest := face.Boards
		for _, b := range face.Longer {
			f(usual+g.l.Bays[b.Bay].Fill, b.Boards)
			rest -= b.Boards
		}
		if rest > 0 {
			f(usual, rest)
		}
	}
	if n := g.leafBoards(); n > 0 {
		f(usual, n)
	}
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
	all := newSum("ft2")
	var steps []Step
	for _, p := range g.stainedParts() {
		if all.open() {
			steps = append(steps, p.step)
		}
		all.add(p.name, p.area, 1)
	}
	area := all.total
	if area.Sign() == 0 {
		return
	}
	st := g.s.Extras.Stain
	coverage := money.Rational(st.Coverage)
	if coverage.Sign() <= 0 {
		g.wrong.Add("spec.extras.stain.coverage", "expected more than 0 ft2 per gallon, found %s", st.Coverage)
		return
	}
	if len(steps) > 1 {
		steps = append(steps, all.step("stain.sum"))
	}
	gallons := area.Mul(whole(st.Coats))
	gallons = gallons.Quo(coverage)
	steps = append(steps, step("stain.gallons", "", Input{"area", number(area), "ft2"}, count("coats", st.Coats, "coat"), Input{"coverage", st.Coverage.Trim(0).String(), "ft2"}).
		exactly(amount(gallons, string(Gallon))))
	g.need(need{item: stainItem(), net: gallons, steps: steps})
}
