package takeoff

import (
	"github.com/govalues/decimal"

	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/spec"
)

func chainFabricItem(d spec.Details) item {
	high, mesh, gauge, roll := d.Length("fabric_height"), d.Length("mesh"), d.Number("gauge").String(), d.Length("fabric_roll")
	return item{"fabric-" + lengthName(high) + "-" + lengthName(mesh) + "-" + gauge + "ga-" + lengthName(roll),
		"Chain link fabric " + high.String() + ", " + mesh.String() + " mesh, " + gauge + " gauge, roll of " + roll.String(), Fabric, Roll, "roll"}
}

func slatItem(d spec.Details) item {
	high, fills := d.Length("fabric_height"), d.Length("slat_bag")
	return item{"slats-" + lengthName(high) + "-" + lengthName(fills),
		"Privacy slats for " + high.String() + " fabric, bag for " + fills.String(), Fabric, Bag, "bag"}
}

func tensionWireItem(d spec.Details) item {
	gauge, roll := d.Number("tension_wire_gauge").String(), d.Length("tension_wire_roll")
	return item{"tension-wire-" + gauge + "ga-" + lengthName(roll), "Tension wire, " + gauge + " gauge, roll of " + roll.String(), Wires, Roll, "roll"}
}

// barbedWireItem is a roll of barbed wire.
func barbedWireItem(roll measure.Length) item {
	return item{"barbed-wire-" + lengthName(roll), "Barbed wire, roll of " + roll.String(), Wires, Roll, "roll"}
}

// rollsOf is lines of wire on all spans in rolls, pooled: what is left of a roll
// goes on in the next stretch.
func (k spanKinds) rollsOf(it item, rule string, lines int, line string, roll measure.Length) need {
	along := k.together()
	net := quotient(along.total, roll).Mul(whole(lines))
	return need{item: it, net: net, steps: append(k.grades(), along.step("chain.along"),
		step(rule, "", length("along", along.total), count("lines", lines, line), length("roll", roll)).exactly(amount(net, "roll")))}
}

// fabric is what hangs between the posts, and on the leaves of gates that are
// framed in mesh: it is woven together where rolls meet, so it is bought once
// for the whole job. Counted from post centre to post centre, which is a post's
// width more than it covers, the ends have what drawing them tight takes.
func (c chain) fabric() {
	along, roll := c.kinds.together(), c.d.Length("fabric_roll")
	if c.s.Gates.Frame == spec.MeshFrame {
		for _, o := range c.l.Openings {
			along.add("on "+amountOf(o.Leaves, "leaf")+" of gate "+o.Gate, leafInfill(o)*measure.Length(o.Leaves), 1)
		}
	}
	if each, _ := fabricPounds(c.d); each.Sign() > 0 {
		c.weighsEach(chainFabricItem(c.d), each.Mul(ft2(roll, c.d.Length("fabric_height"))))
	}
	net := quotient(along.total, roll)
	c.need(need{item: chainFabricItem(c.d), net: net, waste: detailPercent(c.d, "fabric_waste"),
		steps: append(c.kinds.grades(), along.step("chain.along"),
			step("chain.rolls", "", length("along", along.total), length("roll", roll)).exactly(amount(net, "roll")))})
	if c.d.On("slats") {
		c.slats()
	}
}

// slats fill the fence, not its gates, whose leaves they would catch the wind on.
func (c chain) slats() {
	along, bag := c.kinds.together(), c.d.Length("slat_bag")
	net := quotient(along.total, bag)
	c.need(need{item: slatItem(c.d), net: net, steps: append(c.kinds.grades(), along.step("chain.along"),
		step("chain.slats", "", length("along", along.total), length("bag", bag)).exactly(amount(net, "bag")))})
}

// wires are the tension wires with the rings that hold the fabric to them, and
// the barbed wire over it.
func (c chain) wires() {
	if c.tensionWires > 0 {
		c.weighsEach(tensionWireItem(c.d), wirePounds(money.Rational(c.d.Number("tension_wire_gauge")), c.d.Length("tension_wire_roll")))
		c.need(c.kinds.rollsOf(tensionWireItem(c.d), "chain.wire-rolls", c.tensionWires, "wire", c.d.Length("tension_wire_roll")))
		rings, steps := c.kinds.spaced("chain.hog-rings", "hog ring", c.d.Length("hog_rings"), c.tensionWires, "wire")
		c.need(need{item: hogRingItem(), net: rings.total, waste: c.s.Waste.Fasteners, steps: rings.withSum(steps, "chain.ring-sum")})
	}
	if sides := barbSides[c.d["barb_arms"]]; sides > 0 {
		roll := c.d.Length("barbed_roll")
		c.weighsEach(barbedWireItem(roll), barbedPounds(roll))
		c.need(c.kinds.rollsOf(barbedWireItem(roll), "chain.barbed-rolls", sides*c.d.Count("barb_strands"), "strand", roll))
	}
}

// barbSides is how many sides of the fence the arms lean to.
var barbSides = map[string]int{"single": 1, "double": 2}

// detailPercent is a detail for waste.
func detailPercent(d spec.Details, name string) *decimal.Decimal {
	p := d.Number(name)
	return &p
}
