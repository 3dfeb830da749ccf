package takeoff

import (
	"strconv"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/rational"
	"wattle/internal/site"
)

// old is all old fence that is taken out: feet, footings, and what is hauled.
type old struct {
	feet, footings, ft3, pounds rational.Number
}

// oldFence adds up what the site has to tear out.
func (g *gathered) oldFence() old {
	o := old{rational.Number{}, rational.Number{}, rational.Number{}, rational.Number{}}
	for _, f := range g.c.TearOut {
		o.feet = o.feet.Add(quotient(f.Length, measure.Foot))
		o.footings = o.footings.Add(whole(f.Footings))
		o.ft3 = o.ft3.Add(hauledFt3(f).amount())
		o.pounds = o.pounds.Add(hauledPounds(f).amount())
	}
	return o
}

// hauled is what one old fence weighs, or fills on the truck.
type hauled struct {
	site.OldFence
	aFoot, aFooting decimal.Decimal
	unit            Unit
}

func hauledFt3(f site.OldFence) hauled {
	return hauled{f, f.CubicFeetPerFoot, f.FootingCubicFeet, CubicFoot}
}

func hauledPounds(f site.OldFence) hauled {
	return hauled{f, f.PoundsPerFoot, f.FootingPounds, Pound}
}

func (h hauled) amount() rational.Number {
	all := quotient(h.Length, measure.Foot).Mul(money.Rational(h.aFoot))
	return all.Add(whole(h.Footings).Mul(money.Rational(h.aFooting)))
}

// step is how much of fence i is hauled.
func (h hauled) step(i int) Step {
	inputs := []Input{length("length", h.Length), {"a foot", h.aFoot.Trim(0).String(), string(h.unit)}}
	if h.Footings > 0 {
		inputs = append(inputs, count("footings", h.Footings, "footing"), Input{"a footing", h.aFooting.Trim(0).String(), string(h.unit)})
	}
	return step("removal.part", "Old fence "+strconv.Itoa(i+1), inputs...).exactly(amount(h.amount(), string(h.unit)))
}

func haulVolumeItem() item {
	return item{"haul-volume", "Disposal of old fence, by volume", Removal, CubicFoot, ""}
}

func haulWeightItem() item {
	return item{"haul-weight", "Disposal of old fence, by weight", Removal, Pound, ""}
}

// removal is what the old fence costs to be rid of, by volume and by weight, as
// far as the site gives them; taking it out is labour.
func (g *gathered) removal() {
	g.haul(haulVolumeItem(), hauledFt3)
	g.haul(haulWeightItem(), hauledPounds)
}

func (g *gathered) haul(it item, of func(site.OldFence) hauled) {
	all := newSum(string(it.unit))
	var steps []Step
	for i, f := range g.c.TearOut {
		steps = append(steps, of(f).step(i))
		all.add("of old fence "+strconv.Itoa(i+1), of(f).amount(), 1)
	}
	if all.total.Sign() == 0 {
		return
	}
	if len(steps) > 1 {
		steps = append(steps, all.step("removal.sum"))
	}
	g.need(need{item: it, net: all.total, steps: steps})
}
