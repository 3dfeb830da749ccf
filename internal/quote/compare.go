package quote

import (
	"cmp"
	"maps"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/takeoff"
)

// Comparison is how one quote differs from another of the same job.
type Comparison struct {
	// Lines are the lines that differ, the largest change of cost first.
	Lines []LineChange
	// Cost, Net and Total are b's less a's.
	Cost, Net, Total decimal.Decimal
}

// LineChange is one line in both quotes; a zero Line where a quote lacks it.
// PriceEffect + SubstitutionEffect + QuantityEffect = Cost, exactly.
type LineChange struct {
	Item, Description string
	A, B              Line
	Cost              decimal.Decimal // b's less a's
	// PriceEffect is the change of unit price, per the unit b is sold by, on b's
	// quantity, QuantityEffect
	// the change of quantity at a's price. A line in one quote only is all
	// quantity. Where both quotes cut the same pieces, but prices moved the cut
	// to other sticks, what the number of those sticks changes is
	// SubstitutionEffect instead.
	PriceEffect, SubstitutionEffect, QuantityEffect decimal.Decimal
}

// Compare lists how b differs from a.
func Compare(a, b *Quote) (Comparison, error) {
	type key struct{ item, description string }
	keyOf := func(l Line) key {
		if l.Item != "" {
			return key{item: l.Item}
		}
		return key{description: l.Description}
	}
	var c money.Calc
	var out Comparison
	at := make(map[key]int)
	slot := func(l Line) *LineChange {
		k := keyOf(l)
		i, ok := at[k]
		if !ok {
			i = len(out.Lines)
			at[k] = i
			out.Lines = append(out.Lines, LineChange{Item: l.Item, Description: l.Description})
		}
		return &out.Lines[i]
	}
	merge := func(into *Line, l Line) { // two custom lines of one description count as one
		cost, quantity := c.Add(into.Cost, l.Cost), c.Add(into.Quantity, l.Quantity)
		*into = l
		into.Cost, into.Quantity = cost, quantity
	}
	for _, l := range a.Lines {
		merge(&slot(l).A, signed(l))
	}
	for _, l := range b.Lines {
		merge(&slot(l).B, signed(l))
	}
	swapped := substituted(a, b)
	for i := range out.Lines {
		l := &out.Lines[i]
		l.Cost = c.Sub(l.B.Cost, l.A.Cost)
		if l.Item != "" && l.A.Item != "" && l.B.Item != "" {
			l.PriceEffect = c.Mul(c.Sub(l.B.UnitPrice, l.A.priceIn(&c, l.B.Unit)), l.B.Quantity)
		}
		if rest := c.Sub(l.Cost, l.PriceEffect); swapped[l.Item] {
			l.SubstitutionEffect = rest
		} else {
			l.QuantityEffect = rest
		}
	}
	out.Lines = slices.DeleteFunc(out.Lines, func(l LineChange) bool {
		return l.Cost.IsZero() && l.PriceEffect.IsZero() && l.SubstitutionEffect.IsZero() && l.QuantityEffect.IsZero()
	})
	slices.SortStableFunc(out.Lines, func(x, y LineChange) int {
		return cmp.Or(y.Cost.CmpAbs(x.Cost), cmp.Compare(x.Item, y.Item), cmp.Compare(x.Description, y.Description))
	})
	out.Cost = c.Sub(b.Totals.Cost, a.Totals.Cost)
	out.Net = c.Sub(b.Totals.Net, a.Totals.Net)
	out.Total = c.Sub(b.Totals.Total, a.Totals.Total)
	return out, c.Err()
}

// priceIn is the line's price per another unit that its item is sold by, half up
// where that does not end as a decimal.
func (l Line) priceIn(c *money.Calc, unit takeoff.Unit) decimal.Decimal {
	ratio, ok := measure.UnitRatio(string(unit), string(l.Unit))
	if !ok || unit == l.Unit {
		return l.UnitPrice
	}
	return c.Rat(ratio.Mul(ratio, money.Rat(l.UnitPrice)), book.PriceScale)
}

// substituted are the items of sticks from which both quotes cut the same
// pieces: a change of their numbers is a change of stock, not of the job.
func substituted(a, b *Quote) map[string]bool {
	before := make(map[string]takeoff.CutPlan)
	for _, p := range a.Takeoff.Cuts {
		before[p.Use] = p
	}
	items := make(map[string]bool)
	for _, p := range b.Takeoff.Cuts {
		old, both := before[p.Use]
		if !both || !maps.Equal(pieces(old), pieces(p)) {
			continue
		}
		for _, s := range slices.Concat(old.Stocks, p.Stocks) {
			items[s.Item] = true
		}
	}
	return items
}

// pieces are what a plan cuts, by length.
func pieces(p takeoff.CutPlan) map[measure.Length]int {
	n := make(map[measure.Length]int)
	for _, x := range p.Plan.Patterns {
		for _, cut := range x.Cuts {
			n[cut] += x.Times
		}
	}
	return n
}

// signed is l with a discount's cost taken off.
func signed(l Line) Line {
	if l.Kind == Discount {
		l.Cost = l.Cost.Neg()
	}
	return l
}
