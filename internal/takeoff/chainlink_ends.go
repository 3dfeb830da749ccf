package takeoff

import (
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
)

func tensionBarItem(high measure.Length) item {
	return item{"tension-bar-" + lengthName(high), "Tension bar for " + high.String() + " fabric", Hardware, Each, "bar"}
}

func tensionBandItem(post section.Section) item {
	return item{"tension-band-" + string(post), "Tension band for " + post.Describe(), Hardware, Each, "band"}
}

func braceBandItem(post section.Section) item {
	return item{"brace-band-" + string(post), "Brace band for " + post.Describe(), Hardware, Each, "band"}
}

func railEndItem(rail section.Section) item {
	return item{"rail-end-" + string(rail), "Rail end for " + rail.Describe(), Hardware, Each, "rail end"}
}

func carriageBoltItem() item {
	return item{"carriage-bolt", "Carriage bolt with nut, for bands", Hardware, Each, "bolt"}
}

func loopCapItem(post, rail section.Section) item {
	return item{"loop-cap-" + string(post) + "-" + string(rail), "Loop cap for " + post.Describe() + ", rail " + rail.Describe(), Caps, Each, "cap"}
}

func domeCapItem(post section.Section) item {
	return item{"dome-cap-" + string(post), "Dome cap for " + post.Describe(), Caps, Each, "cap"}
}

func barbArmItem(arm string, post section.Section) item {
	return item{"barb-arm-" + arm + "-" + string(post), "Barbed wire arm, " + arm + ", for " + post.Describe(), Caps, Each, "arm"}
}

// sidesOf are how many ends of fence hang on posts, those of one size or of all
// (""), by what the posts are.
func (c chain) sidesOf(size section.Section) (n int, told Step) {
	total := newSum("side")
	roles := byRole(c.l, func(post int) int {
		if size != "" && c.l.Posts[post].Size != size {
			return 0
		}
		return c.sides[post]
	})
	for _, role := range layout.Roles() {
		if of := roles[role]; of > 0 {
			total.add("at "+role.String()+" posts", whole(of), 1)
			n += of
		}
	}
	return n, total.step("chain.sides")
}

// ends are what each end of fence takes at its post: a tension bar through the
// last mesh in its bands, and what rails and tension wires end in. Every band is
// closed by one bolt. What a gate's leaf takes at its own sides is the gate's.
func (c chain) ends() {
	sides, told := c.sidesOf("")
	if sides == 0 {
		return
	}
	c.need(need{item: tensionBarItem(c.d.Length("fabric_height")), net: whole(sides), steps: []Step{told,
		step("chain.bars", "", count("sides", sides, "side")).exactly(amountOf(sides, "bar"))}})
	if c.rails > 0 {
		n := sides * c.rails
		c.need(need{item: railEndItem(c.d.Section("rail_size")), net: whole(n), steps: []Step{told,
			step("chain.rail-ends", "", count("sides", sides, "side"), count("rails", c.rails, "rail")).exactly(amountOf(n, "rail end"))}})
	}

	bolts := newSum("bolt")
	perBar, perSide := c.d.Count("bands_per_bar"), c.rails+c.tensionWires
	rails, wires := count("rails", c.rails, "rail"), count("wires", c.tensionWires, "tension wire")
	for _, s := range bySize(c.l, func(post int) int { return c.sides[post] }) {
		n, told := c.sidesOf(s.size)
		at := count("sides", n, "side")
		c.need(need{item: tensionBandItem(s.size), net: whole(n * perBar), steps: []Step{told,
			step("chain.bands", "", at, count("bands", perBar, "band")).exactly(amountOf(n*perBar, "band"))}})
		bolts.add("tension bands for "+s.size.Describe(), whole(n*perBar), 1)
		if perSide > 0 {
			c.need(need{item: braceBandItem(s.size), net: whole(n * perSide), steps: []Step{told,
				step("chain.brace-bands", "", at, rails, wires).exactly(amountOf(n*perSide, "band"))}})
			bolts.add("brace bands for "+s.size.Describe(), whole(n*perSide), 1)
		}
	}
	c.need(need{item: carriageBoltItem(), net: bolts.total, steps: []Step{bolts.step("chain.bolts")}})
}

// tops are what sits on the posts: arms for barbed wire, else a loop cap where
// the top rail passes and a dome cap on the others.
func (c chain) tops() {
	one := func(match bool) int {
		if match {
			return 1
		}
		return 0
	}
	add := func(rule, noun string, of func(section.Section) item, match func(post int) bool) {
		for _, s := range bySize(c.l, func(post int) int { return one(match(post)) }) {
			c.need(need{item: of(s.size), net: whole(s.times), steps: []Step{
				step(rule, "", count("posts", s.times, "post")).exactly(amountOf(s.times, noun))}})
		}
	}
	if arm := c.d["barb_arms"]; arm != edgeNone {
		add("chain.arms", "arm", func(post section.Section) item { return barbArmItem(arm, post) }, func(int) bool { return true })
		return
	}
	if !capped(c.s) {
		return
	}
	loops := func(post int) bool { return c.topRail && c.passes[post] > 0 }
	add("chain.loop-caps", "cap", func(post section.Section) item { return loopCapItem(post, c.d.Section("rail_size")) }, loops)
	add("chain.dome-caps", "cap", domeCapItem, func(post int) bool { return !loops(post) })
}
