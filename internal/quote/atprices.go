package quote

import (
	"slices"

	"wattle/internal/book"
	"wattle/internal/money"
	"wattle/internal/takeoff"
)

// AtPrices are the totals of a stored quote, by its own rules, at other prices
// of the items it was resolved for: what Build would come to. Missing prices are
// Refused (PRICES_MISSING), all at once.
//
// It is made for many quotes of which few move, and works no more than it must.
// Where no price moved that the quote asked for, its totals stand. Where only
// items moved that are bought by count, in the packs they were, the stored lines
// are priced. Only otherwise, as for sticks and rates, is the job counted and cut
// again, and that from the stored layout.
func AtPrices(r Request, q *Quote, prices []book.Resolved) (Totals, error) {
	moved := movedItems(r.Prices, prices)
	if len(moved) == 0 {
		return q.Totals, nil
	}
	now := newShop(r, q.wanted()).at(prices)
	r.Prices = prices
	if slices.ContainsFunc(moved, q.mayCountOtherwise(now)) {
		is, err := Price(r, q.Layout)
		if err != nil {
			return Totals{}, err
		}
		return is.Totals, nil
	}
	if err := now.unpriced(); err != nil {
		return Totals{}, err
	}
	var c money.Calc
	is := &Quote{Layout: q.Layout, Takeoff: q.Takeoff}
	is.price(&c, r, now)
	is.total(&c, r)
	if err := c.Err(); err != nil {
		return Totals{}, err
	}
	return is.Totals, is.requireDiscounts(&c)
}

// wanted are the items that the quote's lines buy.
func (q *Quote) wanted() []takeoff.Wanted {
	all := make([]takeoff.Wanted, len(q.Takeoff.Lines))
	for i, l := range q.Takeoff.Lines {
		all[i] = takeoff.Wanted{Item: l.Item, Description: l.Description, Category: l.Category, Unit: l.Unit}
	}
	return all
}

// SameOffers reports whether an order of any size costs the same by both, and is
// rounded to the same packs.
func SameOffers(a, b book.Resolved) bool {
	return slices.EqualFunc(a.Offers, b.Offers, func(a, b book.Entry) bool {
		return a.Supplier == b.Supplier && a.Currency == b.Currency && a.Unit == b.Unit && a.Pack.Equal(b.Pack) &&
			slices.EqualFunc(a.Breaks, b.Breaks, func(a, b book.Break) bool {
				return a.MinQuantity.Equal(b.MinQuantity) && a.Price.Equal(b.Price)
			})
	})
}

// moved is what an item was offered at and is now; no offers where it has none.
type moved struct{ was, is book.Resolved }

func movedItems(was, is []book.Resolved) []moved {
	now := make(map[string]book.Resolved, len(is))
	for _, p := range is {
		now[p.Item] = p
	}
	var all []moved
	for _, p := range was {
		if !SameOffers(p, now[p.Item]) {
			all = append(all, moved{p, now[p.Item]})
		}
	}
	return all
}

// mayCountOtherwise says of an item whether its offer may change what is ordered:
// a rate, a stick that is cut or could have been, another unit of sale or pack.
// The others are those with a line and no part in a cut plan.
func (q *Quote) mayCountOtherwise(at shop) func(moved) bool {
	byCount := make(map[string]bool, len(q.Takeoff.Lines))
	for _, l := range q.Takeoff.Lines {
		byCount[l.Item] = true
	}
	for _, p := range q.Takeoff.Cuts {
		for _, s := range p.Stocks {
			byCount[s.Item] = false
		}
	}
	return func(m moved) bool {
		a, _, _ := at.first(m.was)
		b, _, _ := at.first(m.is)
		return !byCount[m.was.Item] || a.Unit != b.Unit || !a.Pack.Equal(b.Pack)
	}
}
