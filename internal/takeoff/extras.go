package takeoff

import (
	"strings"

	"wattle/internal/cutting"
	"wattle/internal/measure"
	"wattle/internal/timber"
)

// stickItem is a stick of sawn wood for one use: "capboard-2x6-12ft".
func stickItem(use, words string, size timber.Size, stock measure.Length) item {
	return ofLength(use+"-"+string(size), words+" "+string(size), stock, Options, "stick")
}

// extras are the options that run along the fence: cap boards, trim, kick boards
// and the lattice top.
func (g *gathered) extras() {
	e := g.s.Extras
	var hold fastening
	g.along(&hold, e.CapBoard, "capboard", "Cap board", "cap boards", 1)
	g.along(&hold, e.Trim, "trim", "Trim", "trim", e.TrimSides)
	if e.KickBoard != "" {
		f := g.bayPieces("kick boards "+string(e.KickBoard), "kick board", 1)
		f.item = func(stock measure.Length) item { return kickItem(e.KickBoard, stock) }
		g.cut(f)
		hold.add(g.fastenedSticks("kick boards", e.KickBoard, g.heldBays(1)))
	}
	g.lattice(&hold)
	g.need(g.fastened(hold)...)
}

// along adds what runs along the top of every bay and every leaf, one on each
// of a number of sides.
func (g *gathered) along(hold *fastening, size timber.Size, use, words, plural string, sides int) {
	if size == "" {
		return
	}
	f := g.pieces(plural+" "+string(size), strings.ToLower(words), sides)
	f.item = func(stock measure.Length) item { return stickItem(use, words, size, stock) }
	g.cut(f)
	hold.add(g.fastenedSticks(plural, size, g.heldAll(sides)))
}

// bayPieces are one for every bay, from post centre to post centre and to the
// outer edge of a terminal post, along the slope of a racked bay; each once on
// every side.
func (g *gathered) bayPieces(use, longer string, sides int) sticks {
	f := sticks{use: use, longer: longer, stock: g.s.Extras.Stock, field: "spec.extras.stock", waste: g.s.Waste.Rails, trim: true}
	var kinds tally[measure.Length]
	for i := range g.l.Bays {
		kinds.add(markedLength(g.bayLength(i), g.s.Extras.Stock), i, 1)
	}
	other := 0
	for i, long := range kinds.kinds {
		n := kinds.times[i]
		f.pieces = append(f.pieces, cutting.Piece{Length: long, Count: n * sides})
		if i >= maxKinds {
			other += n * sides
			continue
		}
		f.steps = append(f.steps, step("extra.pieces", "", count("bays", n, "bay"), count("sides", sides, ""), length("length", long)).
			exactly(amountOf(n*sides, "piece")))
	}
	if other > 0 {
		f.steps = append(f.steps, step("extra.other-pieces", "").exactly(amountOf(other, "piece")))
	}
	return f
}

// pieces are those of bays, and one for every gate leaf.
func (g *gathered) pieces(use, longer string, sides int) sticks {
	f := g.bayPieces(use, longer, sides)
	for _, o := range g.l.Openings {
		f.pieces = append(f.pieces, cutting.Piece{Length: leafInfill(o), Count: o.Leaves * sides})
		if len(f.steps) < 2*maxKinds {
			f.steps = append(f.steps, step("extra.leaf-pieces", "Gate "+o.Gate, count("leaves", o.Leaves, "leaf"), count("sides", sides, ""), length("length", leafInfill(o))).
				exactly(amountOf(o.Leaves*sides, "piece")))
		}
	}
	return f
}

// bayLength is how long a board along a bay is.
func (g *gathered) bayLength(i int) measure.Length {
	b := g.l.Bays[i]
	st := g.l.Stretches[b.Stretch]
	long := b.Width
	if i == st.FirstBay && st.StartEnd.Terminal {
		long += g.l.Posts[b.Start].Width / 2
	}
	if i == st.FirstBay+st.Bays-1 && st.FinishEnd.Terminal {
		long += g.l.Posts[b.End].Width / 2
	}
	if st.Stepped || b.Rise == 0 {
		return long
	}
	along, _ := measure.MulDivRound(int64(long), int64(measure.Hypot(b.Width, b.Rise)), int64(b.Width))
	return measure.Length(along)
}

func latticeItem(high, stock measure.Length) item {
	return item{"lattice-" + lengthName(high) + "-" + lengthName(stock), "Lattice " + high.String() + " high, " + stock.String(), Options, Each, "panel"}
}

// lattice is the lattice top, cut from panels by a plan of its own.
func (g *gathered) lattice(hold *fastening) {
	e := g.s.Extras
	if e.Lattice == 0 {
		return
	}
	f := g.pieces("lattice", "lattice", 1)
	f.item = func(stock measure.Length) item { return latticeItem(e.Lattice, stock) }
	f.stock, f.field = []measure.Length{e.LatticeLength}, "spec.extras.lattice_length"
	g.cut(f)
	hold.add(g.fastenedLattice())
}
