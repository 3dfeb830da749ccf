package takeoff

import (
	"fmt"
	"math/big"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/money"
)

// labourItems are what labour may ask a price for.
func (g *gathered) labourItems() []item {
	if g.s.Labour.Exclude {
		return nil
	}
	all := []item{crewItem(), fenceRateItem()}
	if len(g.l.Openings) > 0 {
		all = append(all, gateRateItem())
	}
	return all
}

// labour is the crew's hours: the net feet of fence and the gate leaves, each
// by its production rate, which the book gives like a price. Where a rate is
// missing there is no line, but a caution.
func (g *gathered) labour(offers map[string]Offer) ([]layout.Caution, error) {
	net, leaves, s := g.out.NetLength, g.out.Leaves, g.s
	if s.Labour.Exclude {
		return nil, nil
	}
	fence, fenceRated := offers[fenceRateItem().bookName(s)]
	gate, gateRated := offers[gateRateItem().bookName(s)]
	hung := 0
	for _, f := range leaves {
		hung += f.Leaves
	}
	var missing []string
	if !fenceRated {
		missing = append(missing, fenceRateItem().bookName(s))
	}
	if hung > 0 && !gateRated {
		missing = append(missing, gateRateItem().bookName(s))
	}
	if len(missing) > 0 {
		return []layout.Caution{{Code: "labour-not-counted", Field: "spec.labour",
			Text: fmt.Sprintf("Labour is not counted: it needs the production rate of %s from a price book.", strings.Join(missing, " and "))}}, nil
	}
	hours := new(big.Rat).Mul(quotient(net, measure.Foot), money.Rat(fence.Price))
	inputs := []Input{length("fence", net), {"fence rate", fence.Price.Trim(0).String(), string(HourPerFoot)}}
	if hung > 0 {
		hours.Add(hours, new(big.Rat).Mul(whole(hung), money.Rat(gate.Price)))
		inputs = append(inputs, count("leaves", hung, "leaf"), Input{"gate rate", gate.Price.Trim(0).String(), string(HourPerLeaf)})
	}
	hundredths := halfUp(hours, 2)
	quantity, err := newDecimal(hundredths, 2)
	if err != nil {
		return nil, err
	}
	it := crewItem()
	g.out.Lines = append(g.out.Lines, Line{
		Item: it.bookName(s), Default: it.name, Description: it.description, Category: it.category, Unit: it.unit,
		Net: quantity, Pack: decimal.MustNew(1, 2), Order: quantity,
		Derivation: Derivation{[]Step{step("labour.hours", "", inputs...).
			rounded(amount(hours, "hour"), "rounded half up to 0.01 hour", amount(new(big.Rat).SetFrac(hundredths, big.NewInt(100)), "hour"))}},
	})
	return nil, nil
}
