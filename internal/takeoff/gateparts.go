package takeoff

import "wattle/internal/spec"

// gateParts are the leaves that are framed in tube, with what hangs on them, the
// hardware of the gates, and what the leaves weigh.
func (g *gathered) gateParts() {
	if g.s.Gates.Frame != spec.WoodFrame {
		g.out.Leaves = g.eachLeaf(g.tubeLeaf)
		if g.wrong.Len() == 0 && len(g.out.Leaves) > 0 {
			g.tube()
			g.infill()
		}
	}
	if len(g.out.Leaves) == 0 {
		return
	}
	g.hinges()
	g.slides()
	if g.wrong.Len() == 0 {
		g.weighLeaves()
	}
}

// hinges are what leaves swing on, with a latch for each gate and a drop rod for
// each pair.
func (g *gathered) hinges() {
	var hung tally[int] // leaves, by their number of hinges
	pairs, gates := 0, 0
	for i, f := range g.out.Leaves {
		if g.l.Openings[f.Opening].Slides {
			continue
		}
		gates++
		hung.add(f.Hinges, i, f.Leaves)
		if f.Leaves == 2 {
			pairs++
		}
	}
	if gates == 0 {
		return
	}
	hinges := need{item: hingeItem()}
	switch {
	case boughtWhole(g.s):
		hinges.item = boltHookItem()
	case g.s.Gates.Frame != spec.WoodFrame:
		hinges.item = boxHingeItem()
	}
	all := newSum("hinge")
	for i, each := range hung.kinds {
		n := hung.times[i]
		hinges.steps = append(hinges.steps, step("gate.hinges", "", count("leaves", n, "leaf"), count("hinges", each, "hinge")).
			exactly(amountOf(n*each, "hinge")))
		all.add("", whole(n*each), 1)
	}
	hinges.net = all.total
	g.need(hinges, need{item: latchItem(), net: whole(gates), steps: []Step{
		step("gate.latches", "", count("gates", gates, "gate")).exactly(amountOf(gates, "latch"))}})
	if pairs > 0 {
		g.need(need{item: dropRodItem(), net: whole(pairs), steps: []Step{
			step("gate.drop-rods", "", count("pairs", pairs, "pair")).exactly(amountOf(pairs, "drop rod"))}})
	}
}

// boltHookItem is what tube gates hang on: a hook through or into the post.
func boltHookItem() item {
	return item{"gate-hinge-bolt-hook", "Bolt hook hinge for a tube gate", GateParts, Each, "hinge"}
}

// boxHingeItem is what leaves of tube swing on; wood hangs on straps.
func boxHingeItem() item {
	return item{"gate-hinge-box", "Box hinge for a leaf of tube", GateParts, Each, "hinge"}
}
