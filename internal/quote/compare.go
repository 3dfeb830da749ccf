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
type LineChange struct {
	Item, Description string
	A, B              Line
	Cost              decimal.Decimal // b's less a's
	By                Effects         // add up to Cost, exactly
}

// Effects are a change of cost by its reasons.
type Effects struct {
	// Rules is what newer rules count otherwise, at the same prices. A
	// Comparison of two quotes knows none.
	Rules decimal.Decimal
	// Price is the change of the unit price, per the unit the first quote buys by,
	// on what it buys.
	Price decimal.Decimal
	// Substitution is what cutting the same pieces from other sticks changes,
	// Quantity all else, both at the second quote's prices. A line in one quote
	// only has no change of price.
	Substitution, Quantity decimal.Decimal
}

// IsZero reports that nothing changed, or that what did left no trace.
func (e Effects) IsZero() bool {
	return e.Rules.IsZero() && e.Price.IsZero() && e.Substitution.IsZero() && e.Quantity.IsZero()
}

// Sum is the whole change.
func (e Effects) Sum(c *money.Calc) decimal.Decimal {
	return c.Sum(e.Rules, e.Price, e.Substitution, e.Quantity)
}

// Compare lists how b differs from a.
func Compare(a, b *Quote) (Comparison, error) {
	var c money.Calc
	var out Comparison
	swapped := substituted(a, b)
	for _, row := range align(&c, a.Lines, b.Lines) {
		l := row.change(&c)
		if l.Item != "" && l.A.Item != "" && l.B.Item != "" {
			l.By.Price = c.Mul(c.Sub(l.B.priceIn(&c, l.A.Unit), l.A.UnitPrice), l.A.Quantity)
		}
		if rest := c.Sub(l.Cost, l.By.Price); swapped[l.Item] {
			l.By.Substitution = rest
		} else {
			l.By.Quantity = rest
		}
		out.Lines = append(out.Lines, l)
	}
	out.Lines = largestFirst(out.Lines)
	out.differ(&c, a.Totals, b.Totals)
	return out, c.Err()
}

func (out *Comparison) differ(c *money.Calc, a, b Totals) {
	out.Cost, out.Net, out.Total = c.Sub(b.Cost, a.Cost), c.Sub(b.Net, a.Net), c.Sub(b.Total, a.Total)
}

// aligned is one line in each of several quotes, zero where one lacks it.
type aligned struct {
	item, description string
	lines             []Line
}

// align puts the lines of several quotes side by side: items by name, custom
// lines by description, of which two alike count as one. A discount costs less
// than nothing.
func align(c *money.Calc, quotes ...[]Line) []aligned {
	type key struct{ item, description string }
	at := make(map[key]int)
	var all []aligned
	for q, lines := range quotes {
		for _, l := range lines {
			k := key{item: l.Item}
			if l.Item == "" {
				k.description = l.Description
			}
			i, known := at[k]
			if !known {
				i = len(all)
				at[k] = i
				all = append(all, aligned{l.Item, l.Description, make([]Line, len(quotes))})
			}
			into := &all[i].lines[q]
			l = signed(l)
			l.Cost, l.Quantity = c.Add(into.Cost, l.Cost), c.Add(into.Quantity, l.Quantity)
			*into = l
		}
	}
	return all
}

// change is how the last of the quotes differs from the first.
func (row aligned) change(c *money.Calc) LineChange {
	a, b := row.lines[0], row.lines[len(row.lines)-1]
	return LineChange{Item: row.item, Description: row.description, A: a, B: b, Cost: c.Sub(b.Cost, a.Cost)}
}

// largestFirst leaves out lines that did not change.
func largestFirst(lines []LineChange) []LineChange {
	lines = slices.DeleteFunc(lines, func(l LineChange) bool { return l.Cost.IsZero() && l.By.IsZero() })
	slices.SortStableFunc(lines, func(x, y LineChange) int {
		return cmp.Or(y.Cost.CmpAbs(x.Cost), cmp.Compare(x.Item, y.Item), cmp.Compare(x.Description, y.Description))
	})
	return lines
}

// priceIn is the line's price per another unit that its item is sold by, half up
// where that does not end as a decimal.
func (l Line) priceIn(c *money.Calc, unit takeoff.Unit) decimal.Decimal {
	ratio, ok := measure.UnitRatio(string(unit), string(l.Unit))
	if !ok || unit == l.Unit {
		return l.UnitPrice
	}
	return c.Rat(ratio.Mul(money.Rational(l.UnitPrice)).Big(), book.PriceScale)
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
