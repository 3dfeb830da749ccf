package takeoff

import "wattle/internal/section"

func rollerItem() item {
	return item{"gate-roller", "Roller of a sliding gate", GateParts, Each, "roller"}
}
func catchItem() item {
	return item{"gate-catch", "Catch of a sliding gate, opens from both sides", GateParts, Each, "catch"}
}
func endStopItem() item {
	return item{"gate-end-stop", "End stop of a sliding gate", GateParts, Each, "end stop"}
}

// rollersPerPost carry a leaf, one behind the other (common practice).
const rollersPerPost = 2

// slides are the hardware of gates that slide: rollers on both roller posts, a
// catch on the post that the leaf closes to, a stop where it opens to.
func (g *gathered) slides() {
	gates := 0
	var rollers tally[section.Section] // the posts beside the fence, by size
	for i, o := range g.l.Openings {
		if !o.Slides {
			continue
		}
		gates++
		if o.Roller != nil {
			rollers.add(o.Roller.Size, i, 1)
		}
	}
	if gates == 0 {
		return
	}
	told := count("gates", gates, "sliding gate")
	n := gates * 2 * rollersPerPost
	g.need(need{item: rollerItem(), net: whole(n), steps: []Step{
		step("gate.rollers", "", told, count("rollers", rollersPerPost, "roller")).exactly(amountOf(n, "roller"))}},
		need{item: catchItem(), net: whole(gates), steps: []Step{step("gate.catches", "", told).exactly(amountOf(gates, "catch"))}},
		need{item: endStopItem(), net: whole(gates), steps: []Step{step("gate.end-stops", "", told).exactly(amountOf(gates, "end stop"))}})
	if !capped(g.s) || !families[g.s.Family].ownCaps {
		return
	}
	// A family that caps the posts of its fence itself knows none beside it.
	for i, size := range rollers.kinds {
		g.need(need{item: domeCapItem(size), net: whole(rollers.times[i]), steps: []Step{
			step("gate.roller-caps", "", count("posts", rollers.times[i], "roller post")).exactly(amountOf(rollers.times[i], "cap"))}})
	}
}
