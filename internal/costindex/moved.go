package costindex

import (
	"cmp"
	"maps"
	"math/big"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
)

// Explain says what moved the cost of a basket that fences a length, from one
// date to another. An item is the same on both where its component, name and unit
// are: one that is sold by another unit now is removed and added, since its
// prices cannot be compared.
//
// It is an error (Invalid) that lists all of it where a length is not above 0, an
// item has no name or is twice on a side, or a quantity or price is below 0; or
// (Exhausted, AMOUNT_OUT_OF_RANGE) where an amount has more digits than a decimal
// holds.
func Explain(from, to []ItemCost, over measure.Length, currency money.Currency) (Change, error) {
	v := &fault.List{}
	v.Require(over > 0, "length", "%d nm; expected more than 0", over)
	v.Require(len(from)+len(to) > 0, "to", "there is no item on either side")
	validateItems(v.At("from"), from)
	validateItems(v.At("to"), to)
	if err := v.Err(); err != nil {
		return Change{}, err
	}
	x := explanation{feet: big.NewRat(int64(over), int64(measure.Foot))}
	movers, parts := x.pair(from, to)
	c := Change{Currency: currency, Length: over}
	c.Parts = x.parts(parts)
	for _, p := range c.Parts {
		c.From, c.To = x.plus(c.From, p.From), x.plus(c.To, p.To)
	}
	c.Difference = x.minus(c.To, c.From)
	c.Percent = percent(c.Difference.Basket, c.From.Basket)
	slices.SortFunc(movers, func(a, b Mover) int {
		return cmp.Or(b.Difference.Basket.CmpAbs(a.Difference.Basket), cmp.Compare(a.item().Item, b.item().Item), compareKeys(a.item(), b.item()), cmp.Compare(a.Side, b.Side))
	})
	told := min(len(movers), MostMovers)
	c.Movers = movers[:told]
	for _, m := range movers[told:] {
		c.Rest.Items++
		c.Rest.Difference.Basket = x.calc.Add(c.Rest.Difference.Basket, m.Difference.Basket)
	}
	x.perFoot(&c)
	if err := cmp.Or(x.calc.Err(), x.err); err != nil {
		return Change{}, err
	}
	return c, nil
}

// key is what makes an item on one side the same as one on the other.
type key struct{ component, item, unit string }

func keyOf(i ItemCost) key { return key{i.Component, i.Item, i.Unit} }

func compareKeys(a, b ItemCost) int {
	return cmp.Or(cmp.Compare(a.Component, b.Component), cmp.Compare(a.Item, b.Item), cmp.Compare(a.Unit, b.Unit))
}

func validateItems(v *fault.List, items []ItemCost) {
	seen := make(map[key]bool)
	for i, item := range items {
		at := v.Index(i)
		at.Require(strings.TrimSpace(item.Item) != "", "item", "it has no name")
		at.Require(!seen[keyOf(item)], "item", "%s by the %s is there twice in %s", item.Item, item.Unit, item.Component)
		at.Require(!item.Quantity.IsNeg(), "quantity", "%v of %s; expected 0 or more", item.Quantity, item.Item)
		at.Require(!item.Price.IsNeg(), "price", "%v for %s; expected 0 or more", item.Price, item.Item)
		seen[keyOf(item)] = true
	}
}

// explanation is the arithmetic of one change, with its first error.
type explanation struct {
	calc money.Calc
	err  error
	feet *big.Rat
}

func (x *explanation) plus(a, b Amount) Amount {
	return Amount{x.calc.Add(a.Basket, b.Basket), x.calc.Add(a.PerFoot, b.PerFoot)}
}

func (x *explanation) minus(a, b Amount) Amount {
	return Amount{x.calc.Sub(a.Basket, b.Basket), x.calc.Sub(a.PerFoot, b.PerFoot)}
}

// pair puts both sides together: the items that moved, and the baskets' cost by
// component.
func (x *explanation) pair(from, to []ItemCost) (movers []Mover, parts map[string]PartChange) {
	parts = make(map[string]PartChange)
	earlier := make(map[key]ItemCost)
	for _, item := range from {
		earlier[keyOf(item)] = item
		p := parts[item.Component]
		p.From.Basket = x.calc.Add(p.From.Basket, x.calc.Mul(item.Quantity, item.Price))
		parts[item.Component] = p
	}
	for _, item := range to {
		p := parts[item.Component]
		p.To.Basket = x.calc.Add(p.To.Basket, x.calc.Mul(item.Quantity, item.Price))
		parts[item.Component] = p
		before, both := earlier[keyOf(item)]
		delete(earlier, keyOf(item))
		m := Mover{Side: Added, To: item}
		if both {
			m.Side, m.From = Both, before
		}
		movers = append(movers, m)
	}
	for _, item := range slices.SortedFunc(maps.Values(earlier), compareKeys) {
		movers = append(movers, Mover{Side: Removed, From: item})
	}
	moved := movers[:0]
	for _, m := range movers {
		x.split(&m)
		// A price that rose as its quantity fell may leave the cost where it was.
		if !m.Difference.Basket.IsZero() || !m.ByPrice.Basket.IsZero() {
			moved = append(moved, m)
		}
	}
	return moved, parts
}

// split shares a mover's difference in the basket into price and quantity.
func (x *explanation) split(m *Mover) {
	c := &x.calc
	if m.Side == Both {
		m.ByPrice.Basket = c.Mul(m.From.Quantity, c.Sub(m.To.Price, m.From.Price))
		m.PricePercent = percent(c.Sub(m.To.Price, m.From.Price), m.From.Price)
	}
	price := m.To.Price
	if m.Side == Removed {
		price = m.From.Price
	}
	m.ByQuantity.Basket = c.Mul(price, c.Sub(m.To.Quantity, m.From.Quantity))
	m.Difference.Basket = c.Add(m.ByPrice.Basket, m.ByQuantity.Basket)
}

// parts are the components in order, with what they cost per foot, in columns that
// add up. The difference is shared, and To follows from it: so a component that
// cost the same shows no difference.
func (x *explanation) parts(by map[string]PartChange) []PartChange {
	names := slices.Sorted(maps.Keys(by))
	parts := make([]PartChange, len(names))
	from, to, moved := make([]*big.Rat, len(names)), new(big.Rat), make([]*big.Rat, len(names))
	for i, name := range names {
		parts[i] = by[name]
		parts[i].Component = name
		parts[i].Difference.Basket = x.calc.Sub(parts[i].To.Basket, parts[i].From.Basket)
		from[i], moved[i] = x.aFoot(parts[i].From.Basket), x.aFoot(parts[i].Difference.Basket)
		to.Add(to, x.aFoot(parts[i].To.Basket))
	}
	fromPerFoot, err := ShareOut(from, PerFootDecimals)
	x.keep(err)
	total, err := ShareOut([]*big.Rat{to}, PerFootDecimals)
	x.keep(err)
	if x.err != nil {
		return nil
	}
	shares := x.share(x.calc.Sub(total[0], x.calc.Sum(fromPerFoot...)), moved...)
	for i := range parts {
		p := &parts[i]
		p.From.PerFoot, p.Difference.PerFoot = fromPerFoot[i], shares[i]
		p.To.PerFoot = x.calc.Add(p.From.PerFoot, p.Difference.PerFoot)
	}
	return parts
}

// perFoot shares the difference per foot, which is that of two rounded totals, over
// the movers and the rest, and each mover's own over price and quantity.
func (x *explanation) perFoot(c *Change) {
	exact := make([]*big.Rat, 0, len(c.Movers)+1)
	for _, m := range c.Movers {
		exact = append(exact, x.aFoot(m.Difference.Basket))
	}
	if c.Rest.Items > 0 {
		exact = append(exact, x.aFoot(c.Rest.Difference.Basket))
	}
	shares := x.share(c.Difference.PerFoot, exact...)
	for i := range c.Movers {
		m := &c.Movers[i]
		m.Difference.PerFoot = shares[i]
		m.Share = percent(m.Difference.Basket, c.Difference.Basket)
		both := x.share(shares[i], x.aFoot(m.ByPrice.Basket), x.aFoot(m.ByQuantity.Basket))
		m.ByPrice.PerFoot, m.ByQuantity.PerFoot = both[0], both[1]
	}
	if c.Rest.Items > 0 {
		c.Rest.Difference.PerFoot = shares[len(shares)-1]
	}
}

// share is total over the exact shares; zeros once there is an error. A share of
// nothing gets nothing.
func (x *explanation) share(total decimal.Decimal, exact ...*big.Rat) []decimal.Decimal {
	shares := make([]decimal.Decimal, len(exact))
	var some []*big.Rat
	for _, e := range exact {
		if e.Sign() != 0 {
			some = append(some, e)
		}
	}
	got, err := shareTotal(units(money.Rat(total), PerFootDecimals), some, PerFootDecimals)
	if x.keep(err); err != nil {
		return shares
	}
	for i, e := range exact {
		if e.Sign() != 0 {
			shares[i], got = got[0], got[1:]
		}
	}
	return shares
}

func (x *explanation) aFoot(basket decimal.Decimal) *big.Rat {
	return new(big.Rat).Quo(money.Rat(basket), x.feet)
}

func (x *explanation) keep(err error) {
	if x.err == nil {
		x.err = err
	}
}

// item is the mover where it is last.
func (m Mover) item() ItemCost {
	if m.Side == Removed {
		return m.From
	}
	return m.To
}

// Name is what the item is called: its description, or else its name in the book.
func (m Mover) Name() string { return cmp.Or(m.item().Description, m.item().Item) }

// percent is part in percent of whole, to one decimal, half up; 0 where the whole
// is, or where it is so small that no decimal holds the percentage.
func percent(part, whole decimal.Decimal) decimal.Decimal {
	if whole.IsZero() {
		return decimal.Decimal{}
	}
	r := new(big.Rat).Quo(money.Rat(part), money.Rat(whole))
	d, err := decimalOf(r.Mul(r, big.NewRat(100, 1)), 1)
	if err != nil {
		return decimal.Decimal{}
	}
	return d
}
