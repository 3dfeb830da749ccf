package rpc

import (
	"context"
	"encoding/hex"
	"strings"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

const (
	defaultExportPage = 1000
	largestExportPage = 5000
)

type exportService struct {
	estimating *estimating.Service
	limit      answerLimit
}

func exportPageSize(asked int32) int {
	if asked == 0 {
		return defaultExportPage
	}
	return min(int(asked), largestExportPage)
}

// ExportPrices implements wattle.v1.ExportService.
//
// A page token holds the revision up to which the list goes and the place of the
// last entry given. Entries are only ever added, under revisions of their own, so
// up to that revision the list stays what it was on the first page.
func (s exportService) ExportPrices(ctx context.Context, req *wattlev1.ExportPricesRequest) (*wattlev1.ExportPricesResponse, error) {
	from, err := readPageToken(req, req.GetPageToken())
	if err != nil {
		return nil, err
	}
	until := revisionFromProto(req.UntilRevision) //nolint:protogetter // nil says absent
	since := book.Revision(req.GetSinceRevision())
	after := estimating.EntryPlace{Revision: since}
	if from != nil {
		if until, after, err = readEntryPlace(*from); err != nil {
			return nil, err
		}
	}
	company := companyOf(req.GetParent())
	head, err := s.estimating.ExportHead(ctx, company, since, until)
	if err != nil {
		return nil, err
	}
	answer := &wattlev1.ExportPricesResponse{UntilRevision: int64(head.Revision), HeadHash: hex.EncodeToString(head.Hash[:])}
	if from == nil {
		if answer.TotalEntries, err = s.estimating.ExportTotal(ctx, company, since, head.Revision); err != nil {
			return nil, err
		}
	}
	size := exportPageSize(req.GetPageSize())
	entries, err := s.estimating.ExportEntries(ctx, estimating.EntryRange{Company: company, After: after, Until: head.Revision, Limit: size + 1})
	if err != nil {
		return nil, err
	}
	answer.Entries = fitting(s.limit, min(size, len(entries)), func(i int) *wattlev1.PriceEntry { return entryToProto(entries[i]) })
	if given := len(answer.GetEntries()); given < len(entries) {
		answer.NextPageToken = pageToken(req, placeOfEntry(head.Revision, entries[given-1]))
	}
	return answer, nil
}

// ExportPriceList implements wattle.v1.ExportService.
//
// A page token holds the day and the revision of the list, and the last item,
// with its supplier where more of the item may come.
func (s exportService) ExportPriceList(ctx context.Context, req *wattlev1.ExportPriceListRequest) (*wattlev1.ExportPriceListResponse, error) {
	v := &fault.List{}
	query := estimating.PriceListQuery{Limit: exportPageSize(req.GetPageSize())}
	query.Company = companyOf(req.GetParent())
	query.AsOf, query.Currency = readDate(v, "as_of", req.GetAsOf()), readCurrency(v, req.GetCurrency())
	if err := v.Err(); err != nil {
		return nil, err
	}
	from, err := readPageToken(req, req.GetPageToken())
	if err != nil {
		return nil, err
	}
	revision := revisionFromProto(req.Revision) //nolint:protogetter // nil says absent
	if from != nil {
		if query.AsOf, revision, query.After, err = readListPlace(*from); err != nil {
			return nil, err
		}
	}
	if query.Offices, query.AsOf, err = s.estimating.PricesAt(ctx, query.Company, req.GetOffice(), query.AsOf); err != nil {
		return nil, err
	}
	head, err := s.estimating.PriceListHead(ctx, query.Company, revision)
	if err != nil {
		return nil, err
	}
	query.Revision = head.Revision
	entries, next, err := s.estimating.ExportPriceList(ctx, query)
	if err != nil {
		return nil, err
	}
	answer := &wattlev1.ExportPriceListResponse{
		AsOf: query.AsOf.String(), Revision: int64(head.Revision), HeadHash: hex.EncodeToString(head.Hash[:]), Office: query.Offices[0],
		Entries: fitting(s.limit, len(entries), func(i int) *wattlev1.PriceEntry { return entryToProto(entries[i]) }),
	}
	if given := len(answer.GetEntries()); given < len(entries) {
		last := entries[given-1]
		next = &estimating.PriceListPlace{Item: last.Item, Supplier: &last.Supplier}
	}
	if next != nil {
		answer.NextPageToken = pageToken(req, placeInList(query.AsOf, head.Revision, *next))
	}
	return answer, nil
}

// ExportQuoteLines implements wattle.v1.ExportService.
func (s exportService) ExportQuoteLines(ctx context.Context, req *wattlev1.ExportQuoteLinesRequest) (*wattlev1.ExportQuoteLinesResponse, error) {
	selected, err := quoteRangeFromProto(req)
	if err != nil {
		return nil, err
	}
	from, err := readPageToken(req, req.GetPageToken())
	if err != nil {
		return nil, err
	}
	var after estimating.QuotePlace
	if from != nil {
		if after, err = readLinePlace(*from); err != nil {
			return nil, err
		}
	}
	size := exportPageSize(req.GetPageSize())
	lines, total, err := s.estimating.ExportQuoteLines(ctx, selected, after, size+1)
	if err != nil {
		return nil, err
	}
	answer := &wattlev1.ExportQuoteLinesResponse{
		TotalQuotes: total,
		Lines: fitting(s.limit, min(size, len(lines)), func(i int) *wattlev1.ExportedQuoteLine {
			return quotedLineToProto(selected.Company, lines[i])
		}),
	}
	if given := len(answer.GetLines()); given < len(lines) {
		answer.NextPageToken = pageToken(req, placeOfLine(lines[given-1].Place()))
	}
	return answer, nil
}

// fitting are the first of n rows, as many as an answer can hold beside its token
// and a few fields, and one at least.
func fitting[M written](limit answerLimit, n int, row func(int) M) []M {
	const frame = 6 // a row's tag and length
	room := int(limit) - int(limit)/8
	rows := make([]M, 0, n)
	for i := range n {
		one := row(i)
		if room -= one.SizeVT() + frame; room < 0 && i > 0 {
			break
		}
		rows = append(rows, one)
	}
	return rows
}

// between joins the parts of a place: no name holds a control character.
const between = "\x1f"

func split(text string, parts int) ([]string, bool) {
	found := strings.Split(text, between)
	return found, len(found) == parts
}
