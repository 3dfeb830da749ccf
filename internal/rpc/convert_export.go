package rpc

import (
	"strconv"
	"strings"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// Places of exports, as their page tokens hold them. Whoever forges one gets
// another stretch of what he may see, or an error.

func placeOfEntry(until book.Revision, e book.Entry) place {
	key := []string{numberText(e.Revision), e.Item, e.Office, e.Supplier, e.Effective.String()}
	return place{numberText(until), strings.Join(key, between)}
}

func readEntryPlace(at place) (*book.Revision, estimating.EntryPlace, error) {
	until, ok := readNumber(at[0])
	key, whole := split(at[1], 5)
	if !ok || !whole {
		return nil, estimating.EntryPlace{}, strangeToken()
	}
	revision, ok := readNumber(key[0])
	day, err := civil.Parse(key[4])
	if !ok || err != nil || revision > until || key[1] == "" {
		return nil, estimating.EntryPlace{}, strangeToken()
	}
	return &until, estimating.EntryPlace{Revision: revision, Item: key[1], Office: key[2], Supplier: key[3], Effective: day}, nil
}

func placeInList(asOf civil.Date, r book.Revision, at estimating.PriceListPlace) place {
	key := at.Item
	if at.Supplier != nil {
		key += between + *at.Supplier
	}
	return place{asOf.String() + between + numberText(r), key}
}

func readListPlace(at place) (civil.Date, *book.Revision, estimating.PriceListPlace, error) {
	var after estimating.PriceListPlace
	list, whole := split(at[0], 2)
	if !whole {
		return civil.Date{}, nil, after, strangeToken()
	}
	day, err := civil.Parse(list[0])
	r, ok := readNumber(list[1])
	item, supplier, within := strings.Cut(at[1], between)
	if err != nil || !ok || item == "" || strings.Contains(supplier, between) {
		return civil.Date{}, nil, after, strangeToken()
	}
	if after.Item = item; within {
		after.Supplier = &supplier
	}
	return day, &r, after, nil
}

func placeOfLine(at estimating.QuotePlace) place {
	return place{at.CreatedAt.UTC().Format(time.RFC3339Nano), at.ID + between + strconv.Itoa(at.Line)}
}

func readLinePlace(at place) (estimating.QuotePlace, error) {
	made, err := time.Parse(time.RFC3339Nano, at[0])
	key, whole := split(at[1], 2)
	if err != nil || !whole || key[0] == "" {
		return estimating.QuotePlace{}, strangeToken()
	}
	line, err := strconv.Atoi(key[1])
	if err != nil || line < 1 {
		return estimating.QuotePlace{}, strangeToken()
	}
	return estimating.QuotePlace{CreatedAt: made, ID: key[0], Line: line}, nil
}

func strangeToken() error { return badPageToken("it is no token of this service") }

func numberText(r book.Revision) string { return strconv.FormatInt(int64(r), 10) }

func readNumber(text string) (book.Revision, bool) {
	n, err := strconv.ParseInt(text, 10, 64)
	return book.Revision(n), err == nil && n >= 0
}

func quoteRangeFromProto(req *wattlev1.ExportQuoteLinesRequest) (estimating.QuoteRange, error) {
	r := estimating.QuoteRange{Company: companyOf(req.GetParent()), Office: req.GetOffice()}
	for _, state := range req.GetStates() {
		r.States = append(r.States, quoteStates.domain[state])
	}
	v := &fault.List{}
	for _, at := range []struct {
		field string
		given *timestamppb.Timestamp
		into  *time.Time
	}{{"created_since", req.GetCreatedSince(), &r.From}, {"created_before", req.GetCreatedBefore(), &r.Before}} {
		if at.given != nil {
			v.Require(at.given.IsValid(), at.field, "expected a time of the years 1 to 9999")
			*at.into = at.given.AsTime()
		}
	}
	if !r.From.IsZero() && !r.Before.IsZero() {
		v.Require(r.From.Before(r.Before), "created_before", "expected a time after created_since")
	}
	return r, v.Err()
}

func quotedLineToProto(company string, l estimating.QuotedLine) *wattlev1.ExportedQuoteLine {
	r := l.Record
	return &wattlev1.ExportedQuoteLine{
		Quote: quoteName(company, r.ID), LineNumber: int32(l.Number), Office: r.Office, State: quoteStates.wire[r.Life.State],
		CreateTime: timestamppb.New(r.CreatedAt), AsOf: r.AsOf.String(), BookRevision: int64(r.Head.Revision),
		Currency: string(r.Currency), NetFeet: plain(l.NetFeet), Line: quoteLineToProto(l.Line, amountsIn(r.Currency)),
	}
}
