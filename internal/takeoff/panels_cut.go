package takeoff

import (
	"cmp"
	"slices"

	"wattle/internal/cutting"
	"wattle/internal/measure"
)

// cutPanels is how many panels the narrower ones are cut from. Where off-cuts
// are used again a plan finds the fewest: the widest piece is cut first, and
// what is left is used while it is no narrower than the least off-cut, so that
// the plan gives no piece less than that. Else each takes a panel of its own.
func (g *gathered) cutPanels(pieces tally[measure.Length], width measure.Length) (int, []Step) {
	n := sumOf(pieces.times)
	least, loss := g.s.Details.Length("least_offcut"), g.s.Details.Length("cut_loss")
	switch {
	case n == 0 || g.wrong.Len() > 0:
		return 0, nil
	case !g.s.Details.On("reuse_offcuts"):
		return n, []Step{step("panels.one-each", "", count("pieces", n, "panel")).exactly(amountOf(n, "panel"))}
	}
	r := cutting.Request{Stocks: []cutting.Stock{{Item: panelItem(g.s).bookName(g.s), Length: width}}, Kerf: loss}
	for i, p := range pieces.kinds {
		r.Pieces = append(r.Pieces, cutting.Piece{Length: max(p, least), Count: pieces.times[i]})
	}
	plan, err := cutting.Solve(r)
	if err != nil {
		g.fail(err)
		return 0, nil
	}
	narrow(plan, pieces, least)
	c := CutPlan{Use: "panels", Plan: plan, Stocks: r.Stocks}
	g.out.Cuts = append(g.out.Cuts, c)
	proof := "no plan takes fewer"
	if !plan.Proven {
		proof = "the best plan found takes " + c.figure(plan.Cost) + " of panels, and none less than " + c.figure(plan.LowerBound)
	}
	return plan.Sticks[0], []Step{step("panels.plan", "", count("pieces", n, "panel"), length("panel", width), length("loss", loss),
		length("least", least), Input{Name: "proof", Value: proof}).exactly(amountOf(plan.Sticks[0], "panel"))}
}

// narrow gives the pieces that the plan took for wider ones their own widths, so
// that the crew cuts what the bays take.
func narrow(plan *cutting.Plan, pieces tally[measure.Length], least measure.Length) {
	var under []measure.Length // descending
	for i, p := range pieces.kinds {
		if p <= least {
			under = append(under, slices.Repeat([]measure.Length{p}, pieces.times[i])...)
		}
	}
	if len(under) == 0 {
		return
	}
	slices.SortFunc(under, func(a, b measure.Length) int { return cmp.Compare(b, a) })
	var patterns []cutting.Pattern
	for _, p := range plan.Patterns {
		first := slices.Index(p.Cuts, least) // the rest are as wide: cuts descend
		if first < 0 {
			patterns = append(patterns, p)
			continue
		}
		for range p.Times {
			n := len(p.Cuts) - first
			cuts := slices.Concat(p.Cuts[:first], under[:n])
			under = under[n:]
			if last := len(patterns) - 1; last >= 0 && slices.Equal(patterns[last].Cuts, cuts) {
				patterns[last].Times++
				continue
			}
			patterns = append(patterns, cutting.Pattern{Stock: p.Stock, Cuts: cuts, Times: 1})
		}
	}
	slices.SortFunc(patterns, func(a, b cutting.Pattern) int { return slices.Compare(b.Cuts, a.Cuts) })
	plan.Patterns, plan.Used = patterns, 0
	for i, p := range pieces.kinds {
		plan.Used += p * measure.Length(pieces.times[i])
	}
	plan.Waste = plan.Bought - plan.Used
}
