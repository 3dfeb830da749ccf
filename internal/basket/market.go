package basket

import (
	"math/big"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/measure"
	"wattle/internal/money"
)

// PriceDecimals is to how many decimals a price is converted, half up, where a
// line's unit is not the one that its offer is sold by now.
const PriceDecimals = 10

// Market is what the items of a basket were offered at over a window of days, and
// who gets an order there.
type Market struct {
	Window book.Window
	Spans  map[string][]book.Span // by item, each from the window's first day on
	// Preferred are suppliers, as book.Wish has them.
	Preferred []string
}

// Missing is an item without a price, and why, in words.
type Missing struct{ Item, Note string }

// Series is what the basket costs per foot of a length over the market's window,
// by Parts, to costindex.PerFootDecimals. A day on which an item has no price is
// a gap; Why tells of it.
func (m Market) Series(b Basket, length measure.Length) (costindex.Series, error) {
	s := costindex.Series{Parts: b.Parts(), To: m.Window.To}
	for _, day := range m.days(b) {
		step := costindex.Step{From: day}
		items, missing := m.At(b, day)
		for _, x := range missing {
			step.Missing = append(step.Missing, x.Item)
		}
		if len(missing) == 0 {
			var err error
			if step.Parts, err = perFoot(s.Parts, items, length); err != nil {
				return s, err
			}
		}
		if n := len(s.Steps); n > 0 && sameStep(s.Steps[n-1], step) {
			continue
		}
		s.Steps = append(s.Steps, step)
	}
	return s, nil
}

// days are those on which a price of the basket may change, the window's first
// before them.
func (m Market) days(b Basket) []civil.Date {
	days := []civil.Date{m.Window.From}
	for _, item := range b.Items() {
		for _, s := range m.Spans[item] {
			days = append(days, s.From)
		}
	}
	slices.SortFunc(days, civil.Date.Compare)
	return slices.Compact(days)
}

// At is the basket at the prices of a day of the window, in the order of its
// lines, and what has none, each item once.
func (m Market) At(b Basket, on civil.Date) ([]costindex.ItemCost, []Missing) {
	var items []costindex.ItemCost
	var missing []Missing
	for _, l := range b.Lines {
		cost, note := m.Price(l, on)
		switch {
		case note == "":
			items = append(items, cost)
		case !slices.ContainsFunc(missing, func(x Missing) bool { return x.Item == l.Item }):
			missing = append(missing, Missing{l.Item, note})
		}
	}
	return items, missing
}

// Price is a line at the offer that gets its order on a day; a note where there
// is none.
func (m Market) Price(l Line, on civil.Date) (costindex.ItemCost, string) {
	spans := m.Spans[l.Item]
	i, found := slices.BinarySearchFunc(spans, on, func(s book.Span, on civil.Date) int { return s.From.Compare(on) })
	if !found {
		i--
	}
	if i < 0 {
		return costindex.ItemCost{}, "unknown item"
	}
	offered := spans[i].Resolved
	bid, ok := offered.Buy(book.Wish{Quantity: l.Quantity, Unit: l.Unit, Preferred: m.Preferred})
	if !ok {
		if offered.Note != "" {
			return costindex.ItemCost{}, offered.Note
		}
		return costindex.ItemCost{}, "no offer is in a unit that converts into " + l.Unit
	}
	price := bid.Break.Price
	if bid.Entry.Unit != l.Unit {
		var err error
		if price, _, err = money.FromRat(bid.Price, PriceDecimals); err != nil {
			return costindex.ItemCost{}, "its price per " + l.Unit + " is out of range"
		}
	}
	return costindex.ItemCost{
		Item: l.Item, Description: l.Description, Component: l.Component, Unit: l.Unit,
		Quantity: l.Quantity, Price: price, Since: bid.Entry.Effective, Revision: int64(bid.Entry.Revision),
	}, ""
}

// perFoot is the cost of each part for a foot of the length.
func perFoot(parts []string, items []costindex.ItemCost, length measure.Length) ([]decimal.Decimal, error) {
	exact := make([]*big.Rat, len(parts))
	for i := range exact {
		exact[i] = new(big.Rat)
	}
	feet := big.NewRat(int64(length), int64(measure.Foot))
	for _, item := range items {
		cost := new(big.Rat).Mul(money.Rat(item.Quantity), money.Rat(item.Price))
		i := slices.Index(parts, item.Component)
		exact[i].Add(exact[i], cost.Quo(cost, feet))
	}
	return costindex.ShareOut(exact, costindex.PerFootDecimals)
}

func sameStep(a, b costindex.Step) bool {
	return slices.Equal(a.Missing, b.Missing) &&
		slices.EqualFunc(a.Parts, b.Parts, func(a, b decimal.Decimal) bool { return a.Cmp(b) == 0 })
}
