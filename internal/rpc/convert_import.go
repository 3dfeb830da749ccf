package rpc

import (
	"encoding/hex"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// importFromProto reads a header.
func importFromProto(h *wattlev1.ImportPricesRequest_Header) (book.Import, error) {
	v := &fault.List{}
	in := book.Import{
		Company: companyOf(h.GetParent()), Office: h.GetOffice(), Mode: modes.domain[h.GetMode()],
		DryRun: h.GetDryRun(), Base: revisionFromProto(h.BaseRevision), //nolint:protogetter // nil says absent
		JumpLimit: book.DefaultJumpLimit, AcceptJumps: h.GetAcceptJumps(), AcceptZeroPrices: h.GetAcceptZeroPrices(),
		AcceptUnitChanges: h.GetAcceptUnitChanges(), RefuseUnknownItems: h.GetRefuseUnknownItems(),
	}
	if text := h.GetJumpLimitPercent(); text != "" {
		limit, err := money.ParseDecimal(text)
		if err != nil {
			v.Add("header.jump_limit_percent", "%s", err)
		} else {
			v.Require(limit.IsPos(), "header.jump_limit_percent", "expected more than 0, found %v; accept_jumps takes every change", limit)
		}
		in.JumpLimit = limit
	}
	return in, v.Err()
}

func recordFromProto(r *wattlev1.PriceRow) book.Record {
	out := book.Record{
		Item: r.GetItem(), Effective: r.GetEffective(), Unit: r.GetUnit(), Price: r.GetPrice(), Currency: r.GetCurrency(),
		Description: r.GetDescription(), Office: r.GetOffice(), Supplier: r.GetSupplier(), Pack: r.GetPack(), MinQuantity: r.GetMinQuantity(),
	}
	if s := r.GetState(); s != wattlev1.PriceEntry_STATE_UNSPECIFIED {
		out.State = string(entryStates.domain[s])
		if out.State == "" {
			out.State = s.String() // a number of a later version, which the list refuses
		}
	}
	return out
}

func outcomeToProto(o book.Outcome) *wattlev1.ImportPricesResponse {
	c := o.Counts
	p := &wattlev1.ImportPricesResponse{
		BaseRevision: int64(o.Base), Revision: int64(o.Head.Revision), HeadHash: hex.EncodeToString(o.Head.Hash[:]),
		Applied: o.Applied, Changes: make([]*wattlev1.PriceChange, len(o.Changes)),
		Counts: &wattlev1.ImportPricesResponse_Counts{
			Added: int64(c.Added), Repriced: int64(c.Repriced), Altered: int64(c.Altered), Withdrawn: int64(c.Removed),
			Confirmed: int64(c.Confirmed), Unchanged: int64(o.Unchanged),
			Jumps: int64(c.Jumps), UnitChanges: int64(c.UnitChanges), UnknownItems: int64(c.UnknownItems),
		},
		Notices: noticesToProto(o),
	}
	for i, change := range o.Changes {
		p.Changes[i] = changeToProto(change)
	}
	return p
}

func noticesToProto(o book.Outcome) []*wattlev1.PriceNotice {
	var out []*wattlev1.PriceNotice
	add := func(kind wattlev1.PriceNotice_Kind, changes []book.Change) {
		for _, c := range changes {
			out = append(out, &wattlev1.PriceNotice{Kind: kind, Item: c.New.Item, Change: changeToProto(c)})
		}
	}
	add(wattlev1.PriceNotice_KIND_JUMP, o.Jumps)
	add(wattlev1.PriceNotice_KIND_UNIT_CHANGE, o.UnitChanges)
	add(wattlev1.PriceNotice_KIND_WITHDRAWN, o.Withdrawals)
	for _, item := range o.UnknownItems {
		out = append(out, &wattlev1.PriceNotice{Kind: wattlev1.PriceNotice_KIND_UNKNOWN_ITEM, Item: item})
	}
	return out
}

func changeToProto(c book.Change) *wattlev1.PriceChange {
	p := &wattlev1.PriceChange{Kind: changeKinds.wire[c.Kind]}
	if c.Old != nil {
		p.Old = entryToProto(*c.Old)
	}
	if c.New != nil {
		p.New = entryToProto(*c.New)
	}
	if c.Kind == book.Repriced {
		p.Percent = c.Percent.String()
	}
	return p
}
