package takeoff

import (
	"math/big"

	"wattle/internal/measure"
	"wattle/internal/money"
)

// old is all old fence that is taken out: feet, footings, and what is hauled.
type old struct {
	feet, footings, ft3, pounds *big.Rat
}

// oldFence adds up what the site has to tear out.
func (g *gathered) oldFence() old {
	o := old{new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat)}
	for _, f := range g.c.TearOut {
		feet, footings := quotient(f.Length, measure.Foot), whole(f.Footings)
		o.feet.Add(o.feet, feet)
		o.footings.Add(o.footings, footings)
		o.ft3.Add(o.ft3, new(big.Rat).Mul(feet, money.Rat(f.CubicFeetPerFoot)))
		o.ft3.Add(o.ft3, new(big.Rat).Mul(footings, money.Rat(f.FootingCubicFeet)))
		o.pounds.Add(o.pounds, new(big.Rat).Mul(feet, money.Rat(f.PoundsPerFoot)))
		o.pounds.Add(o.pounds, new(big.Rat).Mul(footings, money.Rat(f.FootingPounds)))
	}
	return o
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
	all := g.oldFence()
	volume, weight := newSum(string(CubicFoot)), newSum(string(Pound))
	var volumes, weights []Step
	for i, f := range g.c.TearOut {
		feet, name := quotient(f.Length, measure.Foot), "old fence "+whole(i+1).Num().String()
		inputs := func(perFoot, perFooting, unit string) []Input {
			in := []Input{length("length", f.Length), {"a foot", perFoot, unit}}
			if f.Footings > 0 {
				in = append(in, count("footings", f.Footings, "footing"), Input{"a footing", perFooting, unit})
			}
			return in
		}
		part := func(foot, footing *big.Rat) *big.Rat {
			p := new(big.Rat).Mul(feet, foot)
			return p.Add(p, new(big.Rat).Mul(whole(f.Footings), footing))
		}
		ft3 := part(money.Rat(f.CubicFeetPerFoot), money.Rat(f.FootingCubicFeet))
		pounds := part(money.Rat(f.PoundsPerFoot), money.Rat(f.FootingPounds))
		volumes = append(volumes, step("removal.part", "Old fence "+whole(i+1).Num().String(), inputs(f.CubicFeetPerFoot.Trim(0).String(), f.FootingCubicFeet.Trim(0).String(), string(CubicFoot))...).
			exactly(amount(ft3, string(CubicFoot))))
		weights = append(weights, step("removal.part", "Old fence "+whole(i+1).Num().String(), inputs(f.PoundsPerFoot.Trim(0).String(), f.FootingPounds.Trim(0).String(), string(Pound))...).
			exactly(amount(pounds, string(Pound))))
		volume.add("of "+name, ft3, 1)
		weight.add("of "+name, pounds, 1)
	}
	for _, x := range []struct {
		item
		*sum
		steps []Step
		net   *big.Rat
	}{{haulVolumeItem(), volume, volumes, all.ft3}, {haulWeightItem(), weight, weights, all.pounds}} {
		if x.net.Sign() == 0 {
			continue
		}
		steps := x.steps
		if len(steps) > 1 {
			steps = append(steps, x.step("removal.sum"))
		}
		g.need(need{item: x.item, net: x.net, steps: steps})
	}
}
