package rpc

import (
	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
)

var modes = pairsOf(map[wattlev1.ImportPricesRequest_Mode]book.Mode{
	wattlev1.ImportPricesRequest_MODE_PATCH:   book.Patch,
	wattlev1.ImportPricesRequest_MODE_REPLACE: book.Replace,
})

var entryStates = pairsOf(map[wattlev1.PriceEntry_State]book.State{
	wattlev1.PriceEntry_STATE_PRICED:    book.Priced,
	wattlev1.PriceEntry_STATE_WITHDRAWN: book.Withdrawn,
	wattlev1.PriceEntry_STATE_INHERIT:   book.Inherit,
})

var changeKinds = pairsOf(map[wattlev1.PriceChange_Kind]book.ChangeKind{
	wattlev1.PriceChange_KIND_ADDED:     book.Added,
	wattlev1.PriceChange_KIND_REPRICED:  book.Repriced,
	wattlev1.PriceChange_KIND_ALTERED:   book.Altered,
	wattlev1.PriceChange_KIND_WITHDRAWN: book.Removed,
	wattlev1.PriceChange_KIND_CONFIRMED: book.Confirmed,
})

func revisionFromProto(r *int64) *book.Revision {
	if r == nil {
		return nil
	}
	revision := book.Revision(*r)
	return &revision
}

func entryToProto(e book.Entry) *wattlev1.PriceEntry {
	p := &wattlev1.PriceEntry{
		Item: e.Item, Office: e.Office, Supplier: e.Supplier, EffectiveDate: e.Effective.String(),
		Revision: int64(e.Revision), State: entryStates.wire[e.State], Description: e.Description,
	}
	if e.State != book.Priced { // unit, pack and currency mean nothing
		return p
	}
	p.Currency, p.Unit, p.Pack = string(e.Currency), e.Unit, plain(e.Pack)
	price := amountsIn(e.Currency)
	p.Breaks = make([]*wattlev1.PriceEntry_Break, len(e.Breaks))
	for i, b := range e.Breaks {
		p.Breaks[i] = &wattlev1.PriceEntry_Break{MinQuantity: plain(b.MinQuantity), Price: price.of(b.Price)}
	}
	return p
}

func entriesToProto(entries []book.Entry) []*wattlev1.PriceEntry {
	out := make([]*wattlev1.PriceEntry, len(entries))
	for i, e := range entries {
		out[i] = entryToProto(e)
	}
	return out
}
