package quote

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/takeoff"
)

// Repricing is what an old quote comes to on another day or in another revision
// of the book, by the newest rules, and why. Line A of its Comparison is as it
// was quoted, B as it is priced again.
//
// From one to the other goes a chain of bills, each of which is really made, and
// each changes one thing of the one before:
//
//	quoted                                          the stored quote
//	 -> the job counted by the newest rules, at the prices of then     Rules
//	 -> what that buys, at the prices of now                           Price
//	 -> its sticks chosen and cut anew by the prices of now            Substitution
//	 -> packs and production rates of now                              Quantity
//	    = the quote as it would be made now
//
// So the effects of a line add up to its change, and those of the cost to the
// change of the cost, with nothing left over. Another order would split
// otherwise what several of them move together; this one is always taken.
type Repricing struct {
	Then, Now           PricedAt
	RulesThen, RulesNow int
	Was, Is             Totals
	Comparison
	// By are the reasons for Cost, each in whole minor units like the cost
	// itself: those of the lines, with each kind's sum rounded.
	By Effects
}

// Renewed is the request for a quote of the same job made on another day, by the
// newest rules. Its prices, and the head they are of, are still to be resolved; it
// has no last day, as it is not for a customer to accept.
func (r Request) Renewed(asOf civil.Date) Request {
	r.AsOf, r.RulesVersion = asOf, RulesVersion
	r.ValidUntil, r.Head, r.Prices = civil.Date{}, book.Head{}, nil
	return r
}

// Unresolved are the items that a job may ask a price for and the request has
// none resolved for: newer rules may take what older ones did not know.
func (r Request) Unresolved(job *takeoff.Gathered) []string {
	known := make(map[string]bool, len(r.Prices))
	for _, p := range r.Prices {
		known[p.Item] = true
	}
	return slices.DeleteFunc(job.Candidates(), func(item string) bool { return known[item] })
}

// Reprice prices a stored quote again. Now is was renewed, with its prices, and
// job its gathered job. Was may hold more prices than it was quoted with, those
// of its own day for what is Unresolved; an item that had none then, or not in
// the unit it is counted in now, is taken at the price of now, so that what it
// costs is by the rules.
//
// What was stored may be no job today: an item without a price is Refused
// (PRICES_MISSING, all at once), whatever else new rules do not allow
// NOT_REPRICEABLE.
func Reprice(was Request, quoted *Quote, now Request, job *takeoff.Gathered) (Repricing, error) {
	is, err := PriceJob(now, job)
	if err != nil {
		return Repricing{}, NotRepriceable(err)
	}
	wanted := job.Wanted()
	market := newShop(now, wanted)
	then := market.at(was.pricesFor(market))
	kept := market.at(inSales(now.Prices, then))
	byRules, err := bill(now, job, then, then, then)
	if err != nil {
		return Repricing{}, NotRepriceable(err)
	}
	recut, err := bill(now, job, then, market, kept)
	if err != nil {
		return Repricing{}, NotRepriceable(err)
	}
	var c money.Calc
	byPrice := &Quote{Takeoff: byRules.Takeoff}
	byPrice.price(&c, now, kept)

	chain := [][]Line{quoted.Lines, byRules.Lines, byPrice.Lines, recut.Lines, is.Lines}
	out := Repricing{
		Then: PricedAt{was.AsOf, was.Currency, was.Head}, Now: PricedAt{now.AsOf, now.Currency, now.Head},
		RulesThen: was.RulesVersion, RulesNow: now.RulesVersion, Was: quoted.Totals, Is: is.Totals,
	}
	for _, row := range align(&c, chain...) {
		l := row.change(&c)
		l.By = effects(&c, func(i int) decimal.Decimal { return row.lines[i].Cost })
		out.Lines = append(out.Lines, l)
	}
	out.Lines = largestFirst(out.Lines)
	costs := make([]decimal.Decimal, len(chain))
	for i, lines := range chain {
		var t Totals
		t.sum(&c, lines, was.Currency)
		costs[i] = t.Cost
	}
	out.By = effects(&c, func(i int) decimal.Decimal { return costs[i] })
	out.differ(&c, quoted.Totals, is.Totals)
	return out, c.Err()
}

// effects are the steps along the chain of bills.
func effects(c *money.Calc, cost func(bill int) decimal.Decimal) Effects {
	step := func(i int) decimal.Decimal { return c.Sub(cost(i), cost(i-1)) }
	return Effects{Rules: step(1), Price: step(2), Substitution: step(3), Quantity: step(4)}
}

// bill is the lines of a job with packs and rates of one market, sticks chosen and
// cut by another, and the cost of what is bought by a third.
func bill(r Request, job *takeoff.Gathered, packs, sticks, prices shop) (*Quote, error) {
	t, err := job.CountCutBy(packs.offers(), sticks.offers())
	if err != nil {
		return nil, err
	}
	var c money.Calc
	q := &Quote{Takeoff: t}
	q.price(&c, r, prices)
	return q, c.Err()
}

// pricesFor are the request's own prices of all that is bought at a market of
// now, and for what it has none of use the market's.
func (r Request) pricesFor(market shop) []book.Resolved {
	own := make(map[string]book.Resolved, len(r.Prices))
	for _, p := range r.Prices {
		own[p.Item] = p
	}
	prices := slices.Clone(market.r.Prices)
	for i, p := range prices {
		was := own[p.Item]
		if e, _, ok := market.first(was); ok && (!market.plain() || takeoff.Unit(e.Unit) == market.units[p.Item]) {
			prices[i] = was
		}
	}
	return prices
}

// inSales are prices in the units and packs that items were bought in, as long as
// somebody still offers those: what the same purchase costs.
func inSales(prices []book.Resolved, then shop) []book.Resolved {
	kept := slices.Clone(prices)
	for i, p := range kept {
		if sale, _, ok := then.first(then.prices[p.Item]); ok {
			if same := soldAs(p, sale); len(same.Offers) > 0 {
				kept[i] = same
			}
		}
	}
	return kept
}

// NotRepriceable is an error about a stored job as one about its state: the
// caller sent nothing that is wrong.
func NotRepriceable(err error) error {
	invalid, ok := errors.AsType[*fault.Error](err)
	if !ok || invalid.Kind != fault.Invalid {
		return err
	}
	e := fault.Wrap(err, fault.Refused, "NOT_REPRICEABLE", "the job of this quote cannot be priced by the rules of today")
	e.Violations = invalid.Violations
	return e
}

// Sentence says what became of the cost and why: "The job costs 338.50 USD more
// on 2026-09-16 than on 2026-03-16: prices +412.00, other stock -73.50."
func (p Repricing) Sentence() string {
	digits := p.Then.Currency.Digits()
	when, since := " on "+p.Now.AsOf.String(), " than on "+p.Then.AsOf.String()
	if p.Now.AsOf == p.Then.AsOf {
		when, since = "", fmt.Sprintf(" at book revision %d than at %d", p.Now.Head.Revision, p.Then.Head.Revision)
	}
	var parts []string
	for _, e := range []struct {
		name string
		by   decimal.Decimal
	}{{"rules", p.By.Rules}, {"prices", p.By.Price}, {"other stock", p.By.Substitution}, {"quantities", p.By.Quantity}} {
		if e.by.IsZero() {
			continue
		}
		sign := ""
		if e.by.IsPos() {
			sign = "+"
		}
		parts = append(parts, e.name+" "+sign+money.Fixed(e.by, digits))
	}
	said := "The job costs "
	switch more := p.Cost.Sign(); {
	case more > 0:
		said += money.Fixed(p.Cost, digits) + " " + p.Then.Currency.String() + " more" + when + since
	case more < 0:
		said += money.Fixed(p.Cost.Neg(), digits) + " " + p.Then.Currency.String() + " less" + when + since
	default:
		said += "the same" + when + strings.Replace(since, " than ", " as ", 1)
	}
	if len(parts) > 0 {
		said += ": " + strings.Join(parts, ", ")
	}
	return said + "."
}
