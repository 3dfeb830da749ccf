package takeoff

import (
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/spec"
)

// labourItems are what labour may ask a price for.
func (g *gathered) labourItems() []item {
	switch {
	case g.s.Labour.Exclude:
		return nil
	case g.s.Labour.By == spec.ByTasks:
		return g.taskItems()
	}
	all := []item{crewItem(), fenceRateItem()}
	if len(g.l.Openings) > 0 {
		all = append(all, gateRateItem())
	}
	return all
}

// labour is the crew's hours, by rates that the book gives like prices. Where
// one is missing there is no line, but a caution.
func (g *gathered) labour(offers map[string]Offer) ([]layout.Caution, error) {
	if g.s.Labour.Exclude {
		return nil, nil
	}
	if missing := g.unrated(offers); len(missing) > 0 {
		return []layout.Caution{{Code: "labour-not-counted", Field: "spec.labour",
			Text: "Labour is not counted: it needs the production rate of " + wordsOf(missing) + " from a price book."}}, nil
	}
	if g.s.Labour.By == spec.ByTasks {
		return nil, g.byTasks(offers)
	}
	return nil, g.byFence(offers)
}

// byFence is the labour of the net feet of fence and of the gate leaves.
func (g *gathered) byFence(offers map[string]Offer) error {
	net, hung := g.out.NetLength, g.leavesHung()
	fence, gate := offers[fenceRateItem().bookName(g.s)], offers[gateRateItem().bookName(g.s)]
	hours := quotient(net, measure.Foot).Mul(money.Rational(fence.Price))
	inputs := []Input{length("fence", net), {"fence rate", fence.Price.Trim(0).String(), string(HourPerFoot)}}
	if hung > 0 {
		hours = hours.Add(whole(hung).Mul(money.Rational(gate.Price)))
		inputs = append(inputs, count("leaves", hung, "leaf"), Input{"gate rate", gate.Price.Trim(0).String(), string(HourPerLeaf)})
	}
	rounded := hours.HalfUp(2)
	return g.hoursLine(crewItem(), hours, []Step{step("labour.hours", "", inputs...).
		rounded(amount(hours, "hour"), "rounded half up to 0.01 hour", amount(rounded, "hour"))})
}

// wordsOf is a list in words: "a, b and c".
func wordsOf(all []string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	return strings.Join(all[:len(all)-1], ", ") + " and " + all[len(all)-1]
}
