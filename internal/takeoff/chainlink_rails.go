package takeoff

import (
	"slices"

	"wattle/internal/cutting"
	"wattle/internal/measure"
	"wattle/internal/rational"
	"wattle/internal/section"
	"wattle/internal/spec"
)

func chainRailItem(size section.Section, stock measure.Length) item {
	return ofLength("chain-rail-"+string(size), "Chain link rail "+size.Describe(), stock, Rails, "length")
}

func sleeveItem(size section.Section) item {
	return item{"rail-sleeve-" + string(size), "Rail sleeve " + size.Describe(), Hardware, Each, "sleeve"}
}

func railClampItem(post section.Section) item {
	return item{"rail-clamp-" + string(post), "Clamp of a rail that passes a post, " + post.Describe(), Hardware, Each, "clamp"}
}

func tieItem(size section.Section) item {
	return item{"tie-" + string(size), "Tie of fabric to " + size.Describe(), Hardware, Each, "tie"}
}

func hogRingItem() item { return item{"hog-ring", "Hog ring", Hardware, Each, "hog ring"} }

// chain is a chain link fence as it is counted.
type chain struct {
	*gathered
	d     spec.Details
	kinds spanKinds
	lines spanKinds // of rail
	meetings
	rails, tensionWires int
	topRail             bool
}

func countChainLink(g *gathered) {
	spans := spansOf(g.l, true)
	crossings := endCrossings(g.l, spans)
	c := chain{gathered: g, d: g.s.Details, kinds: kindsOf(g.l, spans), meetings: meetingsOf(g.l, spans)}
	c.lines = kindsOf(g.l, linesOf(g.l, spans))
	c.cautions = append(c.cautions, c.crossed(crossings)...)
	for _, edge := range []string{c.d["top"], c.d["bottom"]} {
		switch edge {
		case edgeRail:
			c.rails++
		case edgeWire:
			c.tensionWires++
		}
	}
	if c.d.On("mid_rail") {
		c.rails++
	}
	c.topRail = c.d["top"] == edgeRail
	c.fabric()
	c.wires()
	c.railPieces()
	c.ties()
	c.ends()
	c.tops()
}

// railPieces cuts the rails: whole lengths and a shorter last one on every
// line, past bends and pinned posts and other runs' ends to the post that it ends
// at, the pieces joined by sleeves. What is cut off one serves the next line.
func (c chain) railPieces() {
	if c.rails == 0 {
		return
	}
	size, stick := c.d.Section("rail_size"), c.d.Length("rail_length")
	total, steps := c.lines.spaced("chain.rail-pieces", "piece", stick, c.rails, "rail")
	steps = total.withSum(steps, "chain.rail-sum")
	f := sticks{use: "chain link rails " + string(size), longer: "rail", stock: []measure.Length{stick}, field: "spec.details.rail_length",
		waste: c.s.Waste.Rails, item: func(stock measure.Length) item { return chainRailItem(size, stock) }}
	f.steps = append(c.lines.grades(), steps...)
	lines := 0
	for i, k := range c.lines.kinds {
		n := c.rails * c.lines.times[i]
		if !k.ring { // whose last piece is joined to its first
			lines += n
		}
		if lengths := int(k.along / stick); lengths > 0 {
			f.pieces = append(f.pieces, cutting.Piece{Length: stick, Count: lengths * n})
		}
		if rest := k.along % stick; rest > 0 {
			f.pieces = append(f.pieces, cutting.Piece{Length: min(markedUp(rest), stick), Count: n})
		}
	}
	c.cut(f)

	sleeves := total.total.Sub(whole(lines))
	if sleeves.Sign() > 0 {
		c.need(need{item: sleeveItem(size), net: sleeves, steps: append(slices.Clone(steps),
			step("chain.sleeves", "", Input{"pieces", number(total.total), "piece"}, count("lines", lines, "line")).exactly(amount(sleeves, "sleeve")))})
	}
	c.clamps()
}

// clamps hold rails to the posts that they pass, but for a top rail, which runs
// through the caps.
func (c chain) clamps() {
	under := c.rails
	if c.topRail {
		under--
	}
	if under == 0 {
		return
	}
	for _, s := range c.passedSizes() {
		n := s.times * under
		c.need(need{item: railClampItem(s.size), net: whole(n), steps: []Step{
			step("chain.clamps", "", count("posts", s.times, "post"), count("rails", under, "rail")).exactly(amountOf(n, "clamp"))}})
	}
}

// markedUp is a length rounded up to 1/16 in, but for whole millimetres.
func markedUp(l measure.Length) measure.Length {
	if l%measure.Millimetre == 0 {
		return l
	}
	return (l + measure.Sixteenth - 1) / measure.Sixteenth * measure.Sixteenth
}

// ties hold the fabric to rails and to the posts that it passes, by what they
// go around.
func (c chain) ties() {
	type tied struct {
		*sum
		steps []Step
	}
	var sizes tally[section.Section]
	var all []tied
	add := func(size section.Section, name string, n rational.Number, steps []Step) {
		at := sizes.add(size, 0, 1)
		if at == len(all) {
			all = append(all, tied{sum: newSum("tie")})
		}
		all[at].add(name, n, 1)
		all[at].steps = append(all[at].steps, steps...)
	}
	if c.rails > 0 {
		total, steps := c.kinds.spaced("chain.rail-ties", "tie", c.d.Length("rail_ties"), c.rails, "rail")
		add(c.d.Section("rail_size"), "on rails", total.total, total.withSum(steps, "chain.tie-sum"))
	}
	high, spacing := c.d.Length("fabric_height"), c.d.Length("post_ties")
	exact := quotient(high, spacing)
	for _, s := range c.passedSizes() {
		n := ceiling(exact, one).Mul(whole(s.times))
		how := "on each of " + amountOf(s.times, "post")
		if !exact.IsInt() {
			how = "rounded up, " + how
		}
		add(s.size, "on posts", n, []Step{step("chain.post-ties", "", length("fabric", high), length("spacing", spacing)).
			rounded(amount(exact, "tie"), how, amount(n, "tie"))})
	}
	for i, size := range sizes.kinds {
		t := all[i]
		if len(t.parts) > 1 {
			t.steps = append(t.steps, t.step("chain.tie-sum"))
		}
		c.need(need{item: tieItem(size), net: t.total, waste: c.s.Waste.Fasteners, steps: t.steps})
	}
}
