package takeoff

import (
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// boughtWhole: gates of wire fences are tube gates, bought whole by their width.
func boughtWhole(s spec.Spec) bool { return s.Family == spec.Wire }

// wholeWidths are those that tube gates are made in, in feet (common practice).
var wholeWidths = []measure.Length{4, 6, 8, 10, 12, 14, 16, 18, 20}

// wholeWidth is the widest tube gate for a share of an opening; one narrower than
// all, or wider by more than a filler closes, is made to its leaf.
func wholeWidth(o layout.Opening) measure.Length {
	const filler = 4 * measure.Inch
	share, width := o.Clear/measure.Length(o.Leaves), o.LeafWidth
	for _, feet := range wholeWidths {
		if w := feet * measure.Foot; w <= share && share-w <= filler {
			width = w
		}
	}
	return width
}

func wholeLeafItem(width measure.Length) item {
	return item{"gate-leaf-tube-" + lengthName(width), "Tube gate, " + width.Imperial() + " wide", GateParts, Each, "leaf"}
}

// wholeLeaves are tube gates, one for each leaf.
func (g *gathered) wholeLeaves() {
	type share struct{ clear, width measure.Length }
	var kinds tally[share]
	for i, o := range g.l.Openings {
		kinds.add(share{o.Clear / measure.Length(o.Leaves), wholeWidth(o)}, i, o.Leaves)
	}
	for i, k := range kinds.kinds {
		n := kinds.times[i]
		it := wholeLeafItem(k.width)
		g.weighsEach(it, wholePounds(k.width))
		g.need(need{item: it, net: whole(n), steps: []Step{
			step("gate.whole", g.out.Leaves[kinds.first[i]].name(g.l, n), length("opening", k.clear), length("width", k.width)).exactly(amountOf(n, "leaf"))}})
	}
}
