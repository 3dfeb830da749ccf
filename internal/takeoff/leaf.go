package takeoff

import (
	"fmt"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Leaf is the cut list of the leaves of one opening, which are equal. See the
// package comment for how a leaf is built.
//
//	+--+----------------+--+
//	|  |      rail      |  |   latch side
//	|  +----------------+  |
//	| stile    brace / stile
//	|  +----------------+  |
//	|  |      rail      |  |
//	+--+----------------+--+
//	 ^ hinges
type Leaf struct {
	Opening int // index into layout.Layout.Openings
	Leaves  int
	Frame   spec.Frame
	// Two stiles, Rails rails, one brace and Uprights uprights for each leaf. A
	// length is zero where a leaf has none of them: wood and steel that swing
	// have no uprights, mesh no brace, and a tube gate bought whole nothing.
	Stile, Rail, Brace, Upright measure.Length
	Rails, Uprights             int
	Hinges                      int // for each leaf; of one that slides none
	// Boarding of each leaf, counted from the latch. Width is what is filled: the
	// leaf's, or of one that slides the opening's, since its tail stays open;
	// without upright boards the rest is zero.
	Boarding
	// Weight of each leaf in pounds, half up to 0.1, as far as what is in it has a
	// known weight: Weighing tells what. Hardware is not weighed.
	Weight   decimal.Decimal
	Weighing Derivation
}

// leaves is the cut list of every opening whose leaves are framed in wood, which
// the boards and the rails of the fence are counted with. The others have frames
// of their own, counted with what hangs on them (see gateParts).
func (g *gathered) leaves() {
	if g.s.Gates.Frame == spec.WoodFrame {
		g.out.Leaves = g.eachLeaf(g.woodLeaf)
	}
}

func (g *gathered) eachLeaf(build func(*Leaf, layout.Opening)) []Leaf {
	leaves := make([]Leaf, len(g.l.Openings))
	for i, o := range g.l.Openings {
		leaves[i] = Leaf{Opening: i, Leaves: o.Leaves, Frame: g.s.Gates.Frame}
		if !o.Slides {
			leaves[i].Hinges = g.s.HingesPerLeaf()
		}
		build(&leaves[i], o)
	}
	return leaves
}

// woodLeaf has a frame of the rails' section. A leaf too narrow for its stiles,
// and one whose brace no stick is long enough for, is an error, and so is one
// that slides: wood does not carry itself past its rollers.
func (g *gathered) woodLeaf(leaf *Leaf, o layout.Opening) {
	s, v := g.s, &g.wrong
	if o.Slides {
		v.Add(gateField(g.l, o), "gate %s slides, and a leaf of wood does not carry itself; expected one that swings, or %s as spec.gates.frame", o.Gate, spec.SteelFrame)
		return
	}
	frame := s.BoardLength() - value(s.Rails.TopReveal) - value(s.Rails.BottomReveal)
	var longest measure.Length
	for _, stock := range s.Rails.Stock {
		longest = max(longest, stock)
	}
	leaf.Stile, leaf.Rail, leaf.Rails = frame, o.LeafWidth-2*s.RailDepth(), s.RailCount()
	leaf.Brace = cutLength(measure.Hypot(o.LeafWidth, frame), s)
	leaf.Boarding = board(o.LeafWidth, s.Boards)
	if leaf.Rail <= 0 {
		v.Add(gateField(g.l, o), "gate %s: expected leaves wider than two stiles of %s, found a leaf of %s", o.Gate, s.RailDepth().Imperial(), o.LeafWidth.Imperial())
	}
	if leaf.Brace > longest {
		v.Add(gateField(g.l, o), "gate %s: expected leaves whose brace is cut from a stick of at most %s, found one of %s", o.Gate, longest.Imperial(), leaf.Brace.Imperial())
	}
}

// gateField is where a gate's own particulars stand in a request, as near as a
// layout knows, which has gates by name and not by place in the list: the only
// one of its run is the first.
func gateField(l *layout.Layout, o layout.Opening) string {
	gates := fmt.Sprintf("site.runs[%d].gates", o.Run)
	for _, other := range l.Openings {
		if other.Run == o.Run && other.Gate != o.Gate {
			return gates
		}
	}
	return gates + "[0]"
}

// leafKind is what leaves that are built alike of wood have in common.
type leafKind struct {
	width, stile, rail, brace measure.Length
}

func leafKinds(leaves []Leaf) tally[leafKind] {
	var kinds tally[leafKind]
	for i, f := range leaves {
		if f.Frame != spec.WoodFrame {
			continue
		}
		kinds.add(leafKind{f.Width, f.Stile, f.Rail, f.Brace}, i, f.Leaves)
	}
	return kinds
}

// name is equal leaves in words: "2 leaves of 4 ft 11 in at gate drive".
func (f Leaf) name(l *layout.Layout, times int) string {
	text := amountOf(times, "leaf") + " of " + l.Openings[f.Opening].LeafWidth.Imperial()
	if times > f.Leaves {
		text += ", the first"
	}
	return text + " at gate " + l.Openings[f.Opening].Gate
}
