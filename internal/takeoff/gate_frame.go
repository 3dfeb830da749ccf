package takeoff

import (
	"slices"

	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// Frames of tube are made in the shop from sticks of tube, as an estimator orders
// it, so they are cut by a plan (common practice):
//
//	+--+------------------+--+        steel: one diagonal, and a middle rail
//	|  |       rail     / |  |        where the leaf is over 5 ft high
//	|  |-----------/------|  |
//	stile     brace       stile       mesh: uprights in place of the diagonal,
//	|  | /                |  |        no more than 5 ft apart, and so has a leaf
//	+--+------------------+--+        that slides, of steel or mesh
//	 ^ hinges
//
//	+--+-----------+-----------+------+   a leaf that slides: what closes the
//	|  |  infill   |  infill   | tail |   opening is filled, the tail that
//	+--+-----------+-----------+------+   balances it on its rollers is open
const (
	leafMiddle = 5 * measure.Foot // the highest leaf without a middle rail
	leafPanel  = 5 * measure.Foot // the farthest that uprights stand apart
)

// tubeStock is the length that tube is bought in: pipe 21 ft, square tube 20 ft
// (common practice).
func tubeStock(size section.Section) []measure.Length {
	if size.Kind() == section.Pipe {
		return []measure.Length{21 * measure.Foot}
	}
	return []measure.Length{20 * measure.Foot}
}

func tubeItem(size section.Section, stock measure.Length) item {
	return ofLength("tube-"+string(size), "Tube for gate frames, "+size.Describe(), stock, GateParts, "stick")
}

// leafInfill is how wide each leaf of an opening is filled: of one that slides
// no farther than the opening, since its tail stays open (common practice).
func leafInfill(o layout.Opening) measure.Length {
	if o.Slides {
		return min(o.Clear, o.LeafWidth)
	}
	return o.LeafWidth
}

// panes is how many parts of at most leafPanel uprights share a width in.
func panes(width measure.Length) int { return int((width + leafPanel - 1) / leafPanel) }

// leafHeight is that of the frame: with upright boards as of wood from the outer
// edge of the bottom rail to that of the top rail, else all that is filled.
func leafHeight(s *spec.Spec) measure.Length {
	switch {
	case s.HasRails():
		return s.BoardLength() - value(s.Rails.TopReveal) - value(s.Rails.BottomReveal)
	case s.Family == spec.ChainLink:
		return s.Details.Length("fabric_height")
	default:
		return s.BoardLength()
	}
}

// onTape is a piece of a frame as it is marked: to 1/16 in, but whole millimetres
// as they are. One longer than any stick is spliced, and marked as well.
func onTape(l measure.Length) measure.Length {
	if l%measure.Millimetre == 0 {
		return l
	}
	return measure.RoundTo(l, measure.Sixteenth)
}

// tubeLeaf has a frame of tube.
func (g *gathered) tubeLeaf(leaf *Leaf, o layout.Opening) {
	s := g.s
	leaf.Width = leafInfill(o)
	if boughtWhole(s) {
		g.wrong.Require(!o.Slides, gateField(g.l, o), "gate %s: a tube gate that is bought whole swings; expected one that does not slide", o.Gate)
		return
	}
	wide, high := s.Gates.FrameSize.Width(), leafHeight(s)
	leaf.Stile, leaf.Rail, leaf.Rails = onTape(high), onTape(o.LeafWidth-2*wide), 2
	if s.BoardLength() > leafMiddle && leaf.Frame == spec.SteelFrame {
		leaf.Rails = 3
	}
	field := gateField(g.l, o)
	room := high - measure.Length(leaf.Rails)*wide
	wideEnough := g.wrong.Require(leaf.Rail > 0, field, "gate %s: expected leaves wider than two stiles of %s, found a leaf of %s", o.Gate, measure.Tape(wide), measure.Tape(o.LeafWidth))
	highEnough := g.wrong.Require(room > 0, "spec.gates.frame_size", "%s of %s leave nothing of a leaf %s high", amountOf(leaf.Rails, "rail"), measure.Tape(wide), measure.Tape(high))
	if !wideEnough || !highEnough {
		return
	}
	if leaf.Frame == spec.SteelFrame && !o.Slides {
		leaf.Brace = onTape(measure.Hypot(leaf.Rail, high-2*wide))
	}
	if leaf.Frame == spec.MeshFrame || o.Slides {
		if leaf.Uprights = panes(leaf.Width) - 1; o.Slides {
			leaf.Uprights += max(panes(o.LeafWidth-o.Clear), 1) // the first where the opening ends
		}
	}
	if leaf.Uprights > 0 {
		leaf.Upright = onTape(high - 2*wide)
	}
	if s.Family == spec.VerticalBoards {
		leaf.Boarding = board(leaf.Width, s.Boards)
	}
}

// framing is what frames of tube have in common that are cut alike.
type framing struct {
	stile, rail, brace, upright measure.Length
	rails, uprights             int
}

func framings(leaves []Leaf) tally[framing] {
	var kinds tally[framing]
	for i, f := range leaves {
		if f.Stile > 0 {
			kinds.add(framing{f.Stile, f.Rail, f.Brace, f.Upright, f.Rails, f.Uprights}, i, f.Leaves)
		}
	}
	return kinds
}

// tube is what all frames are cut from. A rail longer than any stick is spliced
// of whole sticks and a rest.
func (g *gathered) tube() {
	size := g.s.Gates.FrameSize
	f := sticks{use: "gate frames " + string(size), longer: "piece of tube", stock: tubeStock(size), field: "spec.gates.frame_size",
		item: func(stock measure.Length) item { return tubeItem(size, stock) }}
	longest := slices.Max(f.stock)
	kinds := framings(g.out.Leaves)
	for i, k := range kinds.kinds {
		n := kinds.times[i]
		braces := 0
		if k.brace > 0 {
			braces = 1
		}
		long := 0 // pieces that no stick is as long as
		for _, p := range []cutting.Piece{{Length: k.stile, Count: 2 * n}, {Length: k.rail, Count: k.rails * n},
			{Length: k.brace, Count: braces * n}, {Length: k.upright, Count: k.uprights * n}} {
			if p.Length > longest {
				long += p.Count
			}
			if p.Count > 0 {
				f.pieces = append(f.pieces, spliced(p, f.stock)...)
			}
		}
		if i >= maxKinds {
			continue
		}
		inputs := []Input{count("leaves", n, "leaf"), count("stiles", 2, "stile"), length("stile", k.stile), count("rails", k.rails, "rail"), length("rail", k.rail)}
		if braces > 0 {
			inputs = append(inputs, count("braces", braces, "brace"), length("brace", k.brace))
		}
		if k.uprights > 0 {
			inputs = append(inputs, count("uprights", k.uprights, "upright"), length("upright", k.upright))
		}
		name := g.out.Leaves[kinds.first[i]].name(g.l, n)
		f.steps = append(f.steps, step("gate.frame", name, inputs...).exactly(amountOf(n*(2+k.rails+braces+k.uprights), "piece")))
		if long > 0 {
			f.steps = append(f.steps, step("gate.spliced", name, length("stick", longest)).exactly(amountOf(long, "piece")))
		}
	}
	for _, stock := range f.stock {
		if each := tubePounds(size); each.Sign() > 0 {
			g.weighsEach(f.item(stock), each.Mul(quotient(stock, measure.Foot)))
		}
	}
	g.cut(f)
}
