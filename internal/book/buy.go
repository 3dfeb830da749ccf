package book

import (
	"cmp"
	"math/big"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
	"wattle/internal/money"
)

// Wish is what is to be bought of an item.
type Wish struct {
	// Quantity picks the break of each offer; zero the one that holds from 0.
	Quantity decimal.Decimal
	// Unit is that of Quantity and of prices that are compared. Empty: that of
	// the first offer, in the order of Preferred and then of names.
	Unit string
	// Preferred are suppliers: the first that has an offer gets the order, dear
	// or not. Those not listed come after, the cheapest among them first. Empty:
	// the cheapest of all.
	Preferred []string
}

// Bid is an offer held against a wish.
type Bid struct {
	Entry Entry
	Break Break
	// Price is Break's for one of the wish's unit, exactly. Nil where the
	// entry's unit is no fixed number of that.
	Price *big.Rat
	rank  int // in the wish's preference
}

// Bids holds every offer against the wish, the one that gets the order first:
// by preference, then by price, then by the supplier's name. Offers in a unit
// that does not convert come last. It also answers the unit they are compared
// in.
func (r Resolved) Bids(w Wish) ([]Bid, string) {
	bids := make([]Bid, len(r.Offers))
	for i, e := range r.Offers {
		bids[i] = Bid{Entry: e, rank: w.rank(e.Supplier)}
	}
	slices.SortFunc(bids, func(a, b Bid) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), strings.Compare(a.Entry.Supplier, b.Entry.Supplier))
	})
	unit := w.Unit
	if unit == "" && len(bids) > 0 {
		unit = bids[0].Entry.Unit
	}
	for i := range bids {
		bids[i].hold(w.Quantity, unit)
	}
	slices.SortStableFunc(bids, func(a, b Bid) int {
		switch {
		case a.Price == nil || b.Price == nil:
			return cmp.Compare(missing(a.Price), missing(b.Price))
		case a.rank != b.rank:
			return cmp.Compare(a.rank, b.rank)
		default:
			return a.Price.Cmp(b.Price)
		}
	})
	return bids, unit
}

func missing(r *big.Rat) int {
	if r == nil {
		return 1
	}
	return 0
}

// rank is a supplier's place in the preference; those not listed share the last.
func (w Wish) rank(supplier string) int {
	if i := slices.Index(w.Preferred, supplier); i >= 0 {
		return i
	}
	return len(w.Preferred)
}

func (b *Bid) hold(quantity decimal.Decimal, unit string) {
	sold, ok := measure.UnitRatio(unit, b.Entry.Unit) // of the entry's unit in one of the wish's
	if !ok {
		return
	}
	if isRate(unit) {
		// A rate is in its unit, where a price is per its unit.
		b.Break = b.Entry.Breaks[0]
		b.Price = money.Rational(b.Break.Price).Quo(sold).Big()
		return
	}
	order := money.Rational(quantity).Mul(sold)
	for _, br := range slices.Backward(b.Entry.Breaks) {
		if money.Rational(br.MinQuantity).Cmp(order) <= 0 {
			b.Break, b.Price = br, sold.Mul(money.Rational(br.Price)).Big()
			return
		}
	}
}

// isRate reports a unit of production rates, such as hour/ft.
func isRate(unit string) bool { return strings.Contains(unit, "/") }

// Buy is the bid that gets the order; false where there is none.
func (r Resolved) Buy(w Wish) (Bid, bool) {
	bids, _ := r.Bids(w)
	if len(bids) == 0 || bids[0].Price == nil {
		return Bid{}, false
	}
	return bids[0], true
}
