package takeoff

import (
	"wattle/internal/measure"
	"wattle/internal/rational"
	"wattle/internal/section"
	"wattle/internal/spec"
)

func wovenWireItem(high, roll measure.Length) item {
	return item{"woven-wire-" + lengthName(high) + "-" + lengthName(roll), "Woven wire " + high.String() + ", roll of " + roll.String(), Wires, Roll, "roll"}
}

func highTensileItem(roll measure.Length) item {
	return item{"high-tensile-wire-" + lengthName(roll), "High tensile wire, roll of " + roll.String(), Wires, Roll, "roll"}
}

func stayItem(high measure.Length) item {
	return item{"wire-stay-" + lengthName(high), "Wire stay for " + high.String() + " fence", Hardware, Each, "stay"}
}

func strainerItem() item {
	return item{"wire-strainer", "In-line wire strainer", Hardware, Each, "strainer"}
}

func stapleItem() item { return item{"fence-staple", "Fence staples", Fasteners, Pound, ""} }

func teeClipItem() item { return item{"tee-clip", "Wire clip for T post", Fasteners, Each, "clip"} }

// wiring is a wire fence as it is counted.
type wiring struct {
	*gathered
	d     spec.Details
	spans []span
	kinds spanKinds
	meetings
	strands, woven int // woven: line wires of woven wire
}

func countWire(g *gathered) {
	spans := spansOf(g.l, false)
	w := wiring{gathered: g, d: g.s.Details, spans: spans, kinds: kindsOf(g.l, spans), meetings: meetingsOf(g.l, spans)}
	w.strands, w.woven = w.d.Count("strands"), w.d.Count("woven_wires")
	w.rolls()
	w.stays()
	braced := w.braces()
	w.fixings(braced)
	if w.d["kind"] == highTensile {
		w.strainers()
	}
}

// rolls of wire; what is left of one goes on in the next stretch.
func (w wiring) rolls() {
	add := func(it item, rule string, lines int, line string, roll measure.Length) {
		n := w.kinds.rollsOf(it, rule, lines, line, roll)
		n.waste = detailPercent(w.d, "wire_waste")
		w.need(n)
	}
	if w.woven > 0 {
		roll, high := w.d.Length("woven_roll"), w.d.Length("woven_height")
		w.weighsEach(wovenWireItem(high, roll), wovenPounds(high, roll))
		add(wovenWireItem(high, roll), "wire.rolls", 1, "line", roll)
	}
	switch {
	case w.strands == 0:
	case w.d["kind"] == highTensile:
		roll := w.d.Length("high_tensile_roll")
		w.weighsEach(highTensileItem(roll), wirePounds(highTensileGauge, roll))
		add(highTensileItem(roll), "wire.rolls", w.strands, "strand", roll)
	default:
		roll := w.d.Length("barbed_roll")
		w.weighsEach(barbedWireItem(roll), barbedPounds(roll))
		add(barbedWireItem(roll), "chain.barbed-rolls", w.strands, "strand", roll)
	}
}

// stays stand between the posts of a bay, evenly.
func (w wiring) stays() {
	spacing := w.d.Length("stay_spacing")
	if spacing == 0 {
		return
	}
	var bays tally[measure.Length]
	for i, b := range w.l.Bays {
		bays.add(measure.Hypot(b.Width, b.Rise), i, 1)
	}
	total := newSum("stay")
	var steps []Step
	for i, wide := range bays.kinds {
		parts := ceiling(quotient(wide, spacing), one).Sub(one)
		times := bays.times[i]
		n := parts.Mul(whole(times))
		if n.Sign() == 0 {
			continue
		}
		if total.open() {
			steps = append(steps, step("wire.stays", "", count("bays", times, "bay"), length("wide", wide), length("spacing", spacing),
				Input{"stays", number(parts), "stay"}).exactly(amount(n, "stay")))
		}
		total.add("in "+amountOf(times, "bay"), n, times)
	}
	if total.total.Sign() > 0 {
		w.need(need{item: stayItem(w.s.Height), net: total.total, steps: total.withSum(steps, "wire.stay-sum")})
	}
}

// strainers tighten every wire once between the posts that it ends at.
func (w wiring) strainers() {
	sides := 0
	for _, n := range w.sides {
		sides += n
	}
	if sides == 0 {
		return
	}
	exact := rational.Of(int64(sides*w.strands), 2)
	n := ceiling(exact, one)
	w.need(need{item: strainerItem(), net: n, steps: []Step{
		step("wire.strainers", "", count("sides", sides, "end"), count("strands", w.strands, "strand")).
			rounded(amount(exact, "strainer"), "rounded up", amount(n, "strainer"))}})
}

// fixings are what holds wires to the posts: clips on T posts, staples in wood,
// where wires pass and, on brace posts too, where they end. Around pipe they are tied off.
func (w wiring) fixings(braced []bracePost) {
	staples, clips := newSum("staple"), newSum("clip")
	var stapled, clipped []Step
	each := w.strands + w.d.Count("woven_fixings")
	line := func(size section.Section, name string, posts int) {
		n := posts * each
		pass := func(noun string) Step {
			return step("wire.line", name, count("posts", posts, "post"), count("wires", each, "wire")).exactly(amountOf(n, noun))
		}
		switch {
		case n == 0:
		case size.Wood():
			staples.add("on "+name, whole(n), 1)
			stapled = append(stapled, pass("staple"))
		case size.Kind() == section.TPost:
			clips.add("on "+name, whole(n), 1)
			clipped = append(clipped, pass("clip"))
		}
	}
	for _, s := range bySize(w.l, func(post int) int { return w.passes[post] }) {
		line(s.size, s.size.Describe()+" posts that wires pass", s.times)
	}
	for _, b := range braced {
		line(b.size, "brace posts "+b.size.Describe(), b.times)
	}
	wires, perEnd := w.strands+w.woven, w.d.Count("end_staples")
	for _, s := range bySize(w.l, func(post int) int { return w.sides[post] }) {
		if n := s.times * wires * perEnd; n > 0 && s.size.Wood() {
			name := "ends at " + s.size.Describe() + " posts"
			staples.add("on "+name, whole(n), 1)
			stapled = append(stapled, step("wire.ends", name, count("sides", s.times, "side"), count("wires", wires, "wire"), count("staples", perEnd, "staple")).
				exactly(amountOf(n, "staple")))
		}
	}
	if clips.total.Sign() > 0 {
		w.need(need{item: teeClipItem(), net: clips.total, waste: w.s.Waste.Fasteners, steps: clips.withSum(clipped, "wire.sum")})
	}
	if staples.total.Sign() > 0 {
		perPound := w.d.Count("staples_per_pound")
		exact := staples.total.Quo(whole(perPound))
		pounds := ceiling(exact, rational.Of(1, 100))
		w.need(need{item: stapleItem(), net: pounds, waste: w.s.Waste.Fasteners, steps: append(staples.withSum(stapled, "wire.sum"),
			step("wire.pounds", "", Input{"staples", number(staples.total), "staple"}, count("per pound", perPound, "staple")).
				rounded(amount(exact, string(Pound)), "rounded up to 0.01 lb", amount(pounds, string(Pound))))})
	}
}
