package rpc

import (
	"slices"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/fault"
	"wattle/internal/money"
)

var reasons = pairsOf(map[wattlev1.ConsideredEntry_Reason]book.Reason{
	wattlev1.ConsideredEntry_REASON_WON:                  book.Won,
	wattlev1.ConsideredEntry_REASON_NOT_YET_EFFECTIVE:    book.NotYet,
	wattlev1.ConsideredEntry_REASON_SUPERSEDED:           book.Superseded,
	wattlev1.ConsideredEntry_REASON_FARTHER_OFFICE:       book.Farther,
	wattlev1.ConsideredEntry_REASON_INHERITS:             book.Inherits,
	wattlev1.ConsideredEntry_REASON_WITHDRAWN:            book.Ended,
	wattlev1.ConsideredEntry_REASON_OTHER_CURRENCY:       book.Foreign,
	wattlev1.ConsideredEntry_REASON_UNIT_NOT_CONVERTIBLE: book.NotConvertible,
	wattlev1.ConsideredEntry_REASON_NOT_PREFERRED:        book.NotPreferred,
	wattlev1.ConsideredEntry_REASON_DEARER_SUPPLIER:      book.Dearer,
	wattlev1.ConsideredEntry_REASON_TIED_SUPPLIER:        book.Tied,
})

// wishesFromProto are what is to be bought, of every item of the request.
func wishesFromProto(v *fault.List, req *wattlev1.ResolvePricesRequest) map[string]book.Wish {
	wishes := make(map[string]book.Wish, len(req.GetItems()))
	for _, item := range req.GetItems() {
		wishes[item] = book.Wish{}
	}
	for i, o := range req.GetOrders() {
		at := v.At("orders").Index(i)
		wish, asked := wishes[o.GetItem()]
		at.Require(asked, "item", "expected one of the items asked for, found %q", o.GetItem())
		first := slices.IndexFunc(req.GetOrders(), func(other *wattlev1.PriceOrder) bool { return other.GetItem() == o.GetItem() })
		at.Require(first == i, "item", "expected an item once, found %q, as in orders[%d]", o.GetItem(), first)
		wish.Quantity, wish.Unit = readDecimal(at, "quantity", o.GetQuantity()), o.GetUnit()
		at.Require(!wish.Quantity.IsNeg(), "quantity", "expected zero or more, found %s", o.GetQuantity())
		wishes[o.GetItem()] = wish
	}
	return wishes
}

func explainedToProto(explained []book.Explained) []*wattlev1.ResolvedPrice {
	out := make([]*wattlev1.ResolvedPrice, len(explained))
	for i, x := range explained {
		p := &wattlev1.ResolvedPrice{Item: x.Item, Offers: entriesToProto(x.Offers), Note: x.Note, Winner: winnerToProto(x)}
		for _, c := range x.Considered {
			p.Considered = append(p.Considered, &wattlev1.ConsideredEntry{
				Entry: entryToProto(c.Entry), Reason: reasons.wire[c.Reason], Text: c.Text,
			})
		}
		out[i] = p
	}
	return out
}

func winnerToProto(x book.Explained) *wattlev1.WinningOffer {
	w := x.Winner
	if w == nil {
		return nil
	}
	a := amountsIn(w.Entry.Currency)
	p := &wattlev1.WinningOffer{
		Supplier: w.Entry.Supplier, Unit: x.Unit, Price: w.Price.FloatString(book.PriceScale),
		Break: &wattlev1.PriceEntry_Break{MinQuantity: plain(w.Break.MinQuantity), Price: a.of(w.Break.Price)},
	}
	if d, _, err := money.FromRat(w.Price, book.PriceScale); err == nil {
		p.Price = a.of(d)
	}
	return p
}
