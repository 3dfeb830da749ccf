package takeoff

// gateParts are the hardware of the gates.
func (g *gathered) gateParts() {
	leaves := g.out.Leaves
	if len(leaves) == 0 {
		return
	}
	var hung tally[int] // leaves, by their number of hinges
	pairs := 0
	for i, f := range leaves {
		hung.add(f.Hinges, i, f.Leaves)
		if f.Leaves == 2 {
			pairs++
		}
	}
	hinges := need{item: hingeItem()}
	all := newSum("hinge")
	for i, each := range hung.kinds {
		n := hung.times[i]
		hinges.steps = append(hinges.steps, step("gate.hinges", "", count("leaves", n, "leaf"), count("hinges", each, "hinge")).
			exactly(amountOf(n*each, "hinge")))
		all.add("", whole(n*each), 1)
	}
	hinges.net = all.total
	gates := len(leaves)
	g.need(hinges, need{item: latchItem(), net: whole(gates), steps: []Step{
		step("gate.latches", "", count("gates", gates, "gate")).exactly(amountOf(gates, "latch"))}})
	if pairs > 0 {
		g.need(need{item: dropRodItem(), net: whole(pairs), steps: []Step{
			step("gate.drop-rods", "", count("pairs", pairs, "pair")).exactly(amountOf(pairs, "drop rod"))}})
	}
}
