package takeoff

import (
	"fmt"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// boughtWhole: gates of wire fences are tube gates, bought whole by their width.
func boughtWhole(s *spec.Spec) bool { return s.Family == spec.Wire }

// wholeWidths are those that tube gates are made in, in feet (common practice). A
// gate is called by the opening that it hangs in, and made narrower by what its
// hinges and its latch take.
var wholeWidths = []measure.Length{3, 4, 6, 8, 10, 12, 14, 16, 18, 20}

// filler is the most that hinges, latch and a strip close of an opening wider
// than its gate (common practice).
const filler = 4 * measure.Inch

// wholeShare is what each leaf has of an opening.
func wholeShare(o layout.Opening) measure.Length { return o.Clear / measure.Length(o.Leaves) }

// wholeWidth is the widest tube gate for a share of an opening; one narrower than
// all is made to its leaf.
func wholeWidth(o layout.Opening) measure.Length {
	width := o.LeafWidth
	for _, feet := range wholeWidths {
		if w := feet * measure.Foot; w <= wholeShare(o) {
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
		kinds.add(share{wholeShare(o), wholeWidth(o)}, i, o.Leaves)
	}
	for i, k := range kinds.kinds {
		n := kinds.times[i]
		it := wholeLeafItem(k.width)
		g.weighsEach(it, wholePounds(k.width))
		g.need(need{item: it, net: whole(n), steps: []Step{
			step("gate.whole", g.out.Leaves[kinds.first[i]].name(g.l, n), length("opening", k.clear), length("width", k.width)).exactly(amountOf(n, "leaf"))}})
		if gap := k.clear - k.width; gap > filler {
			o := g.l.Openings[kinds.first[i]]
			g.cautions = append(g.cautions, layout.Caution{Code: "gate-filler", Field: gateField(g.l, o),
				Text: fmt.Sprintf("No tube gate is made for %s at gate %s; one of %s leaves %s of it open: a narrower opening, or a fixed piece of fence beside the gate.",
					k.clear.Imperial(), o.Gate, k.width.Imperial(), gap.Imperial())})
		}
	}
}
