// Package basket is what a length of fence takes, in quantities that stay while
// prices move: the goods whose cost an analyst follows over time. It comes from
// a counted fence, from many quotes together, or from a list, and is priced from
// the book's spans.
package basket

import (
	"cmp"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/takeoff"
)

// Basket is what a length of fence takes.
type Basket struct {
	// Lines are one for each component, item and unit, in the order of Parts and
	// then of items.
	Lines []Line
	// Fence is the length that Lines make, on centre without gates; Gates is the
	// gates' spans, from post centre to post centre.
	Fence, Gates measure.Length
}

// Line is an item and how much of it is bought.
type Line struct {
	Item, Description string
	// Component is the part of the fence, mostly a category of the take-off.
	Component string
	Unit      string
	Quantity  decimal.Decimal
}

// Same reports whether both are of one component, item and unit.
func (l Line) Same(m Line) bool {
	return l.Component == m.Component && l.Item == m.Item && l.Unit == m.Unit
}

// OfQuote is what a quote buys from the book, by its own quantities: whole packs
// in the unit they are sold by. Custom lines are no part of it.
func OfQuote(q *quote.Quote) Basket {
	b := Basket{Fence: q.Takeoff.NetLength, Gates: q.Takeoff.GateLength}
	for _, l := range q.Lines {
		if l.Category != "" {
			b.Lines = append(b.Lines, Line{l.Item, l.Description, string(l.Category), string(l.Unit), l.Quantity})
		}
	}
	sortLines(b.Lines)
	return b
}

// Sum is several baskets as one.
func Sum(all ...Basket) (Basket, error) {
	type key struct{ component, item, unit string }
	var c money.Calc
	var out Basket
	at := make(map[key]int)
	for _, b := range all {
		out.Fence += b.Fence
		out.Gates += b.Gates
		for _, l := range b.Lines {
			k := key{l.Component, l.Item, l.Unit}
			i, ok := at[k]
			if !ok {
				at[k] = len(out.Lines)
				out.Lines = append(out.Lines, l)
				continue
			}
			out.Lines[i].Quantity = c.Add(out.Lines[i].Quantity, l.Quantity)
		}
	}
	sortLines(out.Lines)
	return out, c.Err()
}

// Material is the basket without work: no labour, no equipment, no removal.
func (b Basket) Material() Basket {
	b.Lines = slices.DeleteFunc(slices.Clone(b.Lines), func(l Line) bool {
		return l.Component == string(takeoff.Labour) || l.Component == string(takeoff.Equipment) || l.Component == string(takeoff.Removal)
	})
	return b
}

// Validate lists what makes it no basket, by field: lines twice, quantities that
// are not above zero, no length.
func (b Basket) Validate(v *fault.List) {
	v.Require(b.Fence > 0, "length", "expected a length over zero")
	lines := v.At("items")
	v.Require(len(b.Lines) > 0, "items", "expected an item at least")
	for i, l := range b.Lines {
		at := lines.Index(i)
		at.Require(l.Item != "", "item", "expected the name of an item")
		at.Require(l.Quantity.IsPos(), "quantity", "expected a number over zero, found %v", l.Quantity)
		first := slices.IndexFunc(b.Lines, l.Same)
		at.Require(first == i, "item", "%q stands in items[%d] too", l.Item, first)
	}
}

// Parts are the components that the lines have: those of the take-off in its
// order, others after them by name.
func (b Basket) Parts() []string {
	var parts []string
	for _, l := range b.Lines {
		parts = append(parts, l.Component)
	}
	slices.SortFunc(parts, compareParts)
	return slices.Compact(parts)
}

// Items are the price-book items of the lines, sorted.
func (b Basket) Items() []string {
	var items []string
	for _, l := range b.Lines {
		items = append(items, l.Item)
	}
	slices.Sort(items)
	return slices.Compact(items)
}

func sortLines(lines []Line) {
	slices.SortFunc(lines, func(a, b Line) int {
		return cmp.Or(compareParts(a.Component, b.Component), strings.Compare(a.Item, b.Item), strings.Compare(a.Unit, b.Unit))
	})
}

func compareParts(a, b string) int {
	return cmp.Or(cmp.Compare(place(a), place(b)), strings.Compare(a, b))
}

// place is a category's place in the take-off's order; others share the last.
func place(component string) int {
	all := takeoff.Categories()
	if i := slices.Index(all, takeoff.Category(component)); i >= 0 {
		return i
	}
	return len(all)
}
