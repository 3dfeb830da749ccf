package takeoff

import (
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/rational"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// hole is what holes that take the same concrete and gravel have in common.
type hole struct {
	size                               section.Section
	diameter, depth, gravel, embedment measure.Length
}

// holes that take concrete, in kinds: none where the posts are set without, but
// for those that the alignment sets in concrete whatever the others are.
func holes(l *layout.Layout, c spec.Concrete) tally[hole] {
	var kinds tally[hole]
	for i, p := range standing(l) {
		if p.Existing || !c.Set.Poured() && p.Because != layout.ByConcrete {
			continue
		}
		h := p.Hole
		kinds.add(hole{p.Size, h.Diameter, h.Depth, h.Gravel, h.Embedment}, i, 1)
	}
	return kinds
}

// fill is the height of concrete in the hole, and how much of the post stands
// in it: from the gravel up to grade, or to where the concrete stops below it.
func (h hole) fill(c spec.Concrete) (concrete, post measure.Length) {
	return max(h.depth-h.gravel-c.StopBelowGrade, 0), max(h.embedment-c.StopBelowGrade, 0)
}

// concrete is the volume in one hole, exactly: the round hole above the gravel,
// and the crown as a cone, each less the post's section through it.
func (h hole) concrete(c spec.Concrete) measure.Solid {
	high, post := h.fill(c)
	v := measure.Cylinder(h.diameter, high).Sub(h.size.Displaces(post))
	if c.Crown == 0 {
		return v
	}
	crown := measure.Cone(h.diameter, c.Crown).Sub(h.size.Displaces(c.Crown))
	if crown.Sign() > 0 { // a crown narrower than that lies inside the post
		v = v.Add(crown)
	}
	return v
}

// name is holes in words: "41 holes of 12 in x 30 in".
func (h hole) name(n int) string {
	return amountOf(n, "hole") + " of " + h.diameter.Inches(4) + " x " + h.depth.Inches(4)
}

// holes counts what fills the holes.
func (g *gathered) holes() {
	bags, err := concrete(g.l, g.s)
	g.fail(err)
	g.need(bags...)
	g.need(gravel(g.l, g.s)...)
}

// concrete is the bags that fill the holes. Wet set adds the volumes up and
// rounds once for the job; dry set rounds every hole up and takes no waste.
func concrete(l *layout.Layout, s *spec.Spec) ([]need, error) {
	c := s.Concrete
	kinds := holes(l, c)
	if len(kinds.kinds) == 0 {
		return nil, nil
	}
	yield := money.Rational(c.YieldPerPound).Mul(whole(c.BagPounds))
	var v fault.List
	if yield.Sign() <= 0 {
		v.Add("spec.concrete", "expected a bag that yields concrete, found %d lb at %s ft3 a lb", c.BagPounds, c.YieldPerPound)
	}
	bag := Input{"yield", number(yield), string(CubicFoot)}
	n := need{item: concreteItem(c), steps: make([]Step, 0, 2+min(len(kinds.kinds), maxKinds))}
	volume, bags := newSum(string(CubicFoot)), newSum("bag")
	for i, h := range kinds.kinds {
		exact, times := h.concrete(c), kinds.times[i]
		if exact.Sign() < 0 {
			v.Add("spec.holes.diameter", "expected holes that hold their posts, found %s for a %s post", h.diameter.Imperial(), h.size)
		}
		if v.Len() > 0 {
			continue
		}
		each, name := exact.Volume().Ft3(), h.name(times)
		if volume.open() {
			n.steps = append(n.steps, h.concreteStep(c, name, exact, each))
		}
		volume.add("in "+name, each.Mul(whole(times)), times)
		if c.Set != spec.DrySet {
			continue
		}
		inBags := each.Quo(yield)
		up := ceiling(inBags, one)
		if bags.open() {
			n.steps = append(n.steps, step("concrete.dry", name, Input{"concrete", number(each), string(CubicFoot)}, bag).
				rounded(amount(inBags, "bag"), "rounded up for each hole", amount(up, "bag")))
		}
		bags.add("in "+name, up.Mul(whole(times)), times)
	}
	if err := v.Err(); err != nil {
		return nil, err
	}
	if c.Set == spec.DrySet {
		n.net = bags.total
		n.steps = append(n.steps, bags.step("concrete.dry-sum"))
		return []need{n}, nil
	}
	n.net = volume.total.Quo(yield)
	n.waste = s.Waste.Concrete
	n.steps = append(n.steps, volume.step("concrete.sum"),
		step("concrete.wet", "", Input{"concrete", number(volume.total), string(CubicFoot)}, bag).exactly(amount(n.net, "bag")))
	return []need{n}, nil
}

func (h hole) concreteStep(c spec.Concrete, name string, exact measure.Solid, each rational.Number) Step {
	high, post := h.fill(c)
	rule, wide, across := "concrete.hole", length("diameter", h.diameter), []Input{length("thickness", h.size.Width()), length("width", h.size.Width())}
	if h.size.Round() {
		rule, wide, across = "concrete.round-hole", lengthExact("diameter", h.diameter), []Input{lengthExact("post", h.size.Width())}
	}
	inputs := append(append(make([]Input, 0, 6), wide, length("fill", high)), across...)
	inputs = append(inputs, length("in concrete", post))
	return step(rule, name, optional(inputs, "crown", c.Crown)...).
		rounded(cubicFeet(exact), "rounded half up to 0.0001 ft3", amount(each, string(CubicFoot))+" each")
}

// gravel is the stone under the posts.
func gravel(l *layout.Layout, s *spec.Spec) []need {
	type bed struct{ diameter, gravel measure.Length }
	var beds tally[bed]
	for i, p := range standing(l) {
		if p.Hole.Gravel > 0 && !p.Existing {
			beds.add(bed{p.Hole.Diameter, p.Hole.Gravel}, i, 1)
		}
	}
	if len(beds.kinds) == 0 {
		return nil
	}
	n := need{item: gravelItem(), waste: s.Waste.Gravel, steps: make([]Step, 0, 1+min(len(beds.kinds), maxKinds))}
	volume := newSum(string(CubicFoot))
	for i, b := range beds.kinds {
		times := beds.times[i]
		exact := measure.Cylinder(b.diameter, b.gravel)
		each := exact.Volume().Ft3()
		name := amountOf(times, "hole") + " of " + b.diameter.Inches(4)
		if volume.open() {
			n.steps = append(n.steps, step("gravel.hole", name, length("diameter", b.diameter), length("gravel", b.gravel)).
				rounded(cubicFeet(exact), "rounded half up to 0.0001 ft3", amount(each, string(CubicFoot))+" each"))
		}
		volume.add("in "+name, each.Mul(whole(times)), times)
	}
	n.net = volume.total
	n.steps = append(n.steps, volume.step("gravel.sum"))
	return []need{n}
}
