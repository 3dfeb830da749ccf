package quote

import (
	"math/big"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/money"
)

// total works the totals out of the lines' exact costs: each figure is rounded
// after summing [BOM-2], and the next is made from the rounded one, so that
// the printed column adds up.
//
//	cost      = material + labour + equipment + subcontract
//	price     = (cost + overhead) marked up, or over (1 - margin)
//	net       = price + fees - discount
//	total     = net + tax
func (q *Quote) total(c *money.Calc, r Request) {
	cents := func(d decimal.Decimal) decimal.Decimal { return money.HalfUp.Round(d, r.Currency) }
	t := &q.Totals
	t.sum(c, q.Lines, r.Currency)
	t.Overhead = cents(c.Percent(t.Cost, r.Pricing.OverheadPercent))

	base := c.Add(t.Cost, t.Overhead)
	price := base
	switch r.Pricing.Profit {
	case Markup:
		price = cents(c.PriceByMarkup(base, r.Pricing.ProfitPercent))
	case Margin:
		price = cents(c.PriceByMargin(base, r.Pricing.ProfitPercent))
	}
	t.Profit = c.Sub(price, base)
	t.Net = c.Sub(c.Add(price, t.Fees), t.Discount)

	q.share(r, price)
	q.tax(c, r)
	t.Total = c.Add(t.Net, t.Tax)

	net, gates := q.Takeoff.NetLength, q.Takeoff.GateLength
	q.PerFoot = PerFoot{
		NetFeet: feet(net), GateFeet: feet(gates),
		MaterialNet: perFoot(t.Material, net), MaterialWithGates: perFoot(t.Material, net+gates),
		PriceNet: perFoot(t.Net, net), PriceWithGates: perFoot(t.Net, net+gates),
	}
}

// sum adds the lines up to the cost, and apart from it fees and discounts.
func (t *Totals) sum(c *money.Calc, lines []Line, in money.Currency) {
	cents := func(d decimal.Decimal) decimal.Decimal { return money.HalfUp.Round(d, in) }
	sums := make(map[Kind]decimal.Decimal, len(Kinds()))
	for _, l := range lines {
		sums[l.Kind] = c.Add(sums[l.Kind], l.Cost)
	}
	t.Material, t.Labour = cents(sums[Material]), cents(sums[LabourKind])
	t.Equipment, t.Subcontract = cents(sums[Equipment]), cents(sums[Subcontract])
	t.Fees, t.Discount = cents(sums[Fee]), cents(sums[Discount])
	t.Cost = c.Sum(t.Material, t.Labour, t.Equipment, t.Subcontract)
}

// share gives each line its part of the price: cost lines in proportion to
// their cost, fees at cost, discounts as what they take off.
func (q *Quote) share(r Request, price decimal.Decimal) {
	var costLines []int
	var costs []decimal.Decimal
	for i := range q.Lines {
		l := &q.Lines[i]
		switch l.Kind {
		case Fee:
			l.Price = money.HalfUp.Round(l.Cost, r.Currency)
		case Discount:
			l.Price = money.HalfUp.Round(l.Cost, r.Currency).Neg()
		default:
			costLines, costs = append(costLines, i), append(costs, l.Cost)
		}
	}
	for j, part := range allocate(price, costs, r.Currency) {
		q.Lines[costLines[j]].Price = part
	}
}

// tax taxes the taxable part of the price, after its pro-rata part of the
// discount, or the cost of the material, by the job's rounding rule.
func (q *Quote) tax(c *money.Calc, r Request) {
	t, rule := &q.Totals, r.Pricing.Tax
	var lines []int
	var bases []decimal.Decimal // what each taxable line is taxed on
	for i, l := range q.Lines {
		if !l.Taxable {
			continue
		}
		lines = append(lines, i)
		if rule.Basis == OnMaterialCost {
			bases = append(bases, money.HalfUp.Round(l.Cost, r.Currency))
		} else {
			bases = append(bases, l.Price)
		}
	}
	gross := c.Sum(bases...)
	switch {
	case rule.Basis == OnMaterialCost:
		t.Taxable = t.Material
	case t.Discount.IsZero():
		t.Taxable = gross
	default:
		before := c.Add(t.Net, t.Discount)
		if !before.IsPos() {
			break
		}
		// The taxable part of the discount, rounded once, then spread.
		part := money.Rat(t.Discount)
		part.Mul(part, money.Rat(gross)).Quo(part, money.Rat(before))
		off := round(part, r.Currency.Digits())
		t.Taxable = c.Sub(gross, off)
		for j, o := range allocate(off, bases, r.Currency) {
			bases[j] = c.Sub(bases[j], o)
		}
	}
	if !rule.PerLine {
		t.Tax = rule.Rounding.Round(c.Percent(t.Taxable, rule.Percent), r.Currency)
		return
	}
	t.Tax = money.HalfUp.Round(decimal.Zero, r.Currency)
	for j, i := range lines {
		q.Lines[i].Tax = rule.Rounding.Round(c.Percent(bases[j], rule.Percent), r.Currency)
		t.Tax = c.Add(t.Tax, q.Lines[i].Tax)
	}
}

// allocate splits a whole amount over weights in whole minor units so that the
// parts add up to it: each gets its share rounded down, and the units left go
// to the largest remainders, the earlier part first among equals. No weight
// (or none over zero) gets nothing, save that the first part takes all where
// every weight is zero.
func allocate(whole decimal.Decimal, weights []decimal.Decimal, cur money.Currency) []decimal.Decimal {
	parts := make([]decimal.Decimal, len(weights))
	if len(weights) == 0 {
		return parts
	}
	sum := new(big.Rat)
	for _, w := range weights {
		sum.Add(sum, money.Rat(w))
	}
	if sum.Sign() == 0 {
		parts[0] = whole
		return parts
	}
	scale := cur.Digits()
	ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(scale)), nil)
	units := money.Rat(whole)
	units.Mul(units, new(big.Rat).SetInt(ten))
	left := new(big.Int).Quo(units.Num(), units.Denom())
	floors := make([]*big.Int, len(weights))
	rests := make([]*big.Rat, len(weights))
	order := make([]int, len(weights))
	for i, w := range weights {
		exact := money.Rat(w)
		exact.Mul(exact, units).Quo(exact, sum)
		floors[i] = new(big.Int).Quo(exact.Num(), exact.Denom())
		rests[i] = exact.Sub(exact, new(big.Rat).SetInt(floors[i]))
		left.Sub(left, floors[i])
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return rests[b].Cmp(rests[a]) })
	for _, i := range order {
		if left.Sign() <= 0 {
			break
		}
		floors[i].Add(floors[i], big.NewInt(1))
		left.Sub(left, big.NewInt(1))
	}
	for i, f := range floors {
		parts[i] = minor(f, scale)
	}
	return parts
}

// minor is n minor units as a decimal of the given scale.
func minor(n *big.Int, scale int) decimal.Decimal {
	s := n.String()
	if scale > 0 {
		if len(s) <= scale {
			s = strings.Repeat("0", scale-len(s)+1) + s
		}
		s = s[:len(s)-scale] + "." + s[len(s)-scale:]
	}
	d, _ := decimal.Parse(s)
	return d
}
