package takeoff

import (
	"wattle/internal/section"
)

func gateCornerItem(size section.Section) item {
	return item{"gate-corner-" + string(size), "Corner fitting of a gate frame, " + size.Describe(), GateParts, Each, "corner"}
}

func gateTeeItem(size section.Section) item {
	return item{"gate-tee-" + string(size), "Tee of a gate frame, " + size.Describe(), GateParts, Each, "tee"}
}

// meshFittings are what a leaf of pipe and fabric takes: a tension bar in its
// bands at each side of the fabric, ties along the rails and the uprights,
// corners and tees where pipes meet (common practice).
func (g *gathered) meshFittings() {
	d, size := g.s.Details, g.s.Gates.FrameSize
	high := d.Length("fabric_height")
	leaves := 0
	for _, f := range g.out.Leaves {
		leaves += f.Leaves
	}
	told := count("leaves", leaves, "leaf")

	bars, perBar := 2*leaves, d.Count("bands_per_bar")
	barred := step("gate.bars", "", told).exactly(amountOf(bars, "bar"))
	banded := step("gate.bands", "", count("bars", bars, "bar"), count("bands", perBar, "band")).exactly(amountOf(bars*perBar, "band"))
	bolted := step("gate.bolts", "", count("bands", bars*perBar, "band")).exactly(amountOf(bars*perBar, "bolt"))
	g.need(need{item: tensionBarItem(high), net: whole(bars), steps: []Step{barred}},
		need{item: tensionBandItem(size), net: whole(bars * perBar), steps: []Step{barred, banded}},
		need{item: carriageBoltItem(), net: whole(bars * perBar), steps: []Step{bolted}})

	g.need(need{item: gateCornerItem(size), net: whole(4 * leaves), steps: []Step{step("gate.corners", "", told).exactly(amountOf(4*leaves, "corner"))}})
	tees, steps := g.leafSum("tee", func(leaf Leaf, n int, name string) (int, []Step) {
		all := n * leaf.Uprights
		return 2 * all, []Step{step("gate.tees", name, count("uprights", all, "upright")).exactly(amountOf(2*all, "tee"))}
	})
	if tees.total.Sign() > 0 {
		g.need(need{item: gateTeeItem(size), net: tees.total, steps: steps})
	}

	ties, steps := g.leafSum("tie", func(leaf Leaf, n int, name string) (int, []Step) {
		rail, upright := d.Length("rail_ties"), d.Length("post_ties")
		along := quotient(leaf.Width, rail)
		onRails := countOf(ceiling(along, one)) * leaf.Rails * n
		steps := []Step{step("gate.rail-ties", name, length("width", leaf.Width), length("spacing", rail)).
			rounded(amount(along, "tie"), "rounded up, on each of "+amountOf(leaf.Rails*n, "rail"), amountOf(onRails, "tie"))}
		tied := (panes(leaf.Width) - 1) * n // the others stand at the end of the fabric, or in the tail
		if tied == 0 {
			return onRails, steps
		}
		up := quotient(high, upright)
		onUprights := ceiling(up, one).Mul(whole(tied))
		times := countOf(onUprights)
		return onRails + times, append(steps, step("gate.upright-ties", name, length("fabric", high), length("spacing", upright)).
			rounded(amount(up, "tie"), "rounded up, on each of "+amountOf(tied, "upright"), amountOf(times, "tie")),
			step("gate.sum", name, count("on rails", onRails, ""), count("on uprights", times, "")).exactly(amountOf(onRails+times, "tie")))
	})
	g.need(need{item: tieItem(size), net: ties.total, waste: g.s.Waste.Fasteners, steps: steps})
}
