package quote

import (
	"cmp"
	"math/big"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/check"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/takeoff"
)

// Build makes the whole quote from its request.
func Build(r Request) (*Quote, error) {
	l, err := Plan(r)
	if err != nil {
		return nil, err
	}
	return Price(r, l)
}

// Price counts and prices a layout made by Plan. Sticks are cut by the prices
// at the lowest quantity; every line is then priced at its own order quantity.
// Missing prices are Refused (PRICES_MISSING), all listed at once.
func Price(r Request, l *layout.Layout) (*Quote, error) { return PriceJob(r, r.Job(l).Gather()) }

// PriceJob is Price of the request's own job, where that is gathered already.
func PriceJob(r Request, job *takeoff.Gathered) (*Quote, error) {
	l := job.Job.Layout
	s := newShop(r, job.Wanted())
	if err := s.unpriced(); err != nil {
		return nil, err
	}
	t, err := job.Count(s.offers())
	if err != nil {
		return nil, err
	}
	q := &Quote{Layout: l, Takeoff: t}
	var c money.Calc
	q.price(&c, r, s)
	q.total(&c, r)
	if err := c.Err(); err != nil {
		return nil, err
	}
	if err := q.requireDiscounts(&c); err != nil {
		return nil, err
	}
	q.Cautions = slices.Concat(l.Cautions, t.Cautions, check.Always(r.Spec))
	if r.RulesVersion > landVersion {
		q.Cautions = append(q.Cautions, t.LeafCautions(l)...)
		q.Checks = check.Job(job.Job, r.AsOf)
	}
	if r.RulesVersion > oneUnitVersion {
		q.Cautions = append(q.Cautions, s.stale(q.Lines)...)
	}
	return q, nil
}

// requireDiscounts refuses discounts that exceed the price.
func (q *Quote) requireDiscounts(c *money.Calc) error {
	v := &fault.List{}
	if t := q.Totals; t.Net.IsNeg() {
		v.Add("custom_lines", "the discounts of %s exceed the price of %s", t.Discount, c.Add(t.Net, t.Discount))
	}
	return v.Err()
}

// Job is what the take-off counts of the request, laid out.
func (r Request) Job(l *layout.Layout) takeoff.Job {
	return takeoff.Job{Layout: l, Spec: r.Spec, Conditions: r.Site.Conditions, Rules: r.RulesVersion}
}

// kinds are what the lines of a category are for cost and tax; the others are
// material.
var kinds = map[takeoff.Category]Kind{
	takeoff.Labour:    LabourKind,
	takeoff.Equipment: Equipment,
	takeoff.Removal:   Subcontract,
}

// price makes the priced lines: the take-off's, then the custom ones.
func (q *Quote) price(c *money.Calc, r Request, s shop) {
	q.Lines = make([]Line, 0, len(q.Takeoff.Lines)+len(r.Custom))
	for _, t := range q.Takeoff.Lines {
		e, price := s.buy(c, t)
		kind := cmp.Or(kinds[t.Category], Material)
		q.Lines = append(q.Lines, Line{
			Item: t.Item, Description: t.Description, Category: t.Category, Kind: kind,
			Quantity: t.Order, Unit: t.OrderedIn(), UnitPrice: price,
			Supplier: e.Supplier, Effective: e.Effective, EntryRevision: e.Revision,
			Cost: c.Mul(t.Order, price),
		})
	}
	for _, l := range r.Custom {
		q.Lines = append(q.Lines, Line{
			Description: l.Description, Kind: l.Kind, Quantity: decimal.One, Unit: takeoff.Each,
			UnitPrice: l.Amount, Cost: l.Amount,
		})
	}
	for i := range q.Lines {
		q.Lines[i].Taxable = r.Pricing.Tax.covers(q.Lines[i].Kind)
	}
}

func (t Tax) covers(k Kind) bool {
	if t.Basis == OnMaterialCost {
		return k == Material
	}
	return slices.Contains(t.Kinds, k)
}

// perFoot is an amount over a length, in currency per foot to 4 decimals, half
// up; zero over no length.
func perFoot(amount decimal.Decimal, over measure.Length) decimal.Decimal {
	if over <= 0 {
		return decimal.Zero
	}
	ratio := big.NewRat(int64(measure.Foot), int64(over))
	return round(ratio.Mul(ratio, money.Rat(amount)), 4)
}

// feet is a length in feet to 4 decimals, half up.
func feet(l measure.Length) decimal.Decimal {
	return round(big.NewRat(int64(l), int64(measure.Foot)), 4)
}

// round is r to scale decimals, halves away from zero.
func round(r *big.Rat, scale int) decimal.Decimal {
	d, err := decimal.Parse(r.FloatString(scale)) // big.Rat rounds halves away from zero
	if err != nil {
		return decimal.Zero
	}
	return d
}
