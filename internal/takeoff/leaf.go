package takeoff

import (
	"fmt"

	"wattle/internal/layout"
	"wattle/internal/measure"
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
	// Two stiles, Rails rails and one brace for each leaf.
	Stile, Rail, Brace measure.Length
	Rails              int
	Hinges             int // for each leaf
	// Boarding of each leaf, counted from the latch; Width is the leaf's.
	Boarding
}

// buildLeaves is the cut list of every opening. A leaf too narrow for its
// stiles, and one whose brace no stick is long enough for, is an error.
func (g *gathered) leaves() {
	l, s := g.l, g.s
	leaves := make([]Leaf, len(l.Openings))
	frame := s.BoardLength() - value(s.Rails.TopReveal) - value(s.Rails.BottomReveal)
	var longest measure.Length
	for _, stock := range s.Rails.Stock {
		longest = max(longest, stock)
	}
	v := &g.wrong
	for i, o := range l.Openings {
		rail := o.LeafWidth - 2*s.RailDepth()
		brace := cutLength(measure.Hypot(o.LeafWidth, frame), s)
		field := fmt.Sprintf("site.runs[%d].gates", o.Run) // a layout knows gates by name, not by place in the list
		v.Require(rail > 0, field, "gate %s: expected leaves wider than two stiles of %s, found a leaf of %s", o.Gate, s.RailDepth().Imperial(), o.LeafWidth.Imperial())
		v.Require(brace <= longest, field, "gate %s: expected leaves whose brace is cut from a stick of at most %s, found one of %s", o.Gate, longest.Imperial(), brace.Imperial())
		leaves[i] = Leaf{
			Opening: i, Leaves: o.Leaves,
			Stile: frame, Rail: rail, Brace: brace,
			Rails: s.RailCount(), Hinges: s.HingesPerLeaf(),
			Boarding: board(o.LeafWidth, s.Boards),
		}
	}
	g.out.Leaves = leaves
}

// leafKind is what leaves that are built alike have in common.
type leafKind struct {
	width, stile, rail, brace measure.Length
}

func leafKinds(leaves []Leaf) tally[leafKind] {
	var kinds tally[leafKind]
	for i, f := range leaves {
		kinds.add(leafKind{f.Width, f.Stile, f.Rail, f.Brace}, i, f.Leaves)
	}
	return kinds
}

// name is equal leaves in words: "2 leaves of 4 ft 11 in at gate drive".
func (f Leaf) name(l *layout.Layout, times int) string {
	text := amountOf(times, "leaf") + " of " + f.Width.Imperial()
	if times > f.Leaves {
		text += ", the first"
	}
	return text + " at gate " + l.Openings[f.Opening].Gate
}
