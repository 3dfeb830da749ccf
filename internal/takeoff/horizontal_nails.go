package takeoff

import "wattle/internal/rational"

func boardScrewItem() item {
	return item{"screw-board", "Self-drilling screw for boards", Fasteners, Each, "screw"}
}

// fastened is what holds the boards at every post that they pass or end on:
// nails into wood, self-drilling screws into the rest, equally many of both.
func (b *lying) fastened() []need {
	f := b.s.Fasteners
	all := 2*b.one + 3*b.two
	if all == 0 {
		return nil
	}
	var needs []need
	inputs := []Input{count("one", b.one, "board")}
	if b.two > 0 {
		inputs = append(inputs, count("two", b.two, "board"))
	}
	crossings := step("horizontal.crossings", "", inputs...).exactly(amountOf(all, "crossing"))
	if b.metal > 0 {
		n := b.metal * f.PerBoardPerRail
		needs = append(needs, need{item: coated(boardScrewItem(), f.Coating), net: whole(n), waste: b.s.Waste.Fasteners, steps: []Step{crossings,
			step("horizontal.screws", "", count("crossings", b.metal, "crossing"), count("screws", f.PerBoardPerRail, "screw")).exactly(amountOf(n, "screw"))}})
	}
	onWood := all - b.metal
	if onWood == 0 {
		return needs
	}
	perPound := f.NailsPerPound[f.BoardNail]
	if !b.wrong.Require(perPound > 0, "spec.fasteners.nails_per_pound["+f.BoardNail+"]", "expected how many nails make a pound, found %d", perPound) {
		return needs
	}
	steps := []Step{crossings}
	if b.metal > 0 {
		steps = append(steps, step("horizontal.on-wood", "", count("all", all, "crossing"), count("metal", b.metal, "crossing")).exactly(amountOf(onWood, "crossing")))
	}
	n := onWood * f.PerBoardPerRail
	exact := whole(n).Quo(whole(perPound))
	pounds := ceiling(exact, rational.Of(1, 100))
	return append(needs, need{item: coated(boardNailItem(f.BoardNail), f.Coating), net: pounds, waste: b.s.Waste.Fasteners, steps: append(steps,
		step("horizontal.nails", "", count("crossings", onWood, "crossing"), count("nails", f.PerBoardPerRail, "nail")).exactly(amountOf(n, "nail")),
		step("nail.pounds", "", count("nails", n, "nail"), count("nails per lb", perPound, "nail")).
			rounded(amount(exact, string(Pound)), "rounded up to 0.01 lb", amount(pounds, string(Pound))))})
}
