package takeoff

import (
	"fmt"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// poundsPerHinge is the most that practice hangs on one hinge: 150 lb on two
// (common practice).
var poundsPerHinge = decimal.MustNew(75, 0)

// widestLeaf is the widest leaf that is usual of a frame; past it one sags on
// its posts (common practice).
var widestLeaf = map[spec.Frame]measure.Length{
	spec.WoodFrame:  5 * measure.Foot,
	spec.SteelFrame: 10 * measure.Foot,
	spec.MeshFrame:  12 * measure.Foot,
}

// LeafCautions are what the estimator should look at in leaves that swing: one
// heavy for its hinges, one wide for its frame (common practice). They stand
// apart from Cautions because quotes of rules that knew no weights replay
// without them.
func (t *Takeoff) LeafCautions(l *layout.Layout) []layout.Caution {
	var all []layout.Caution
	for _, f := range t.Leaves {
		o := l.Openings[f.Opening]
		if o.Slides {
			continue
		}
		hung, err := poundsPerHinge.Mul(decimal.MustNew(int64(f.Hinges), 0))
		if err == nil && f.Weight.Cmp(hung) > 0 {
			all = append(all, layout.Caution{Code: "gate-leaf-heavy", Field: "spec.gates.hinges_per_leaf",
				Text: fmt.Sprintf("A leaf of gate %s weighs about %s lb; on %s practice hangs %s lb at most: one hinge more, or heavier ones, and a post that holds it.",
					o.Gate, f.Weight, amountOf(f.Hinges, "hinge"), hung)})
		}
		if most := widestLeaf[f.Frame]; f.Stile > 0 && most > 0 && o.LeafWidth > most {
			all = append(all, layout.Caution{Code: "gate-leaf-wide", Field: gateField(l, o),
				Text: fmt.Sprintf("A leaf of gate %s is %s wide; framed in %s it is likely to sag past %s: a pair of leaves, a wheel, or a stiffer frame.",
					o.Gate, o.LeafWidth.Imperial(), f.Frame, most.Imperial())})
		}
	}
	return all
}
