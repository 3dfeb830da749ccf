package rpc

import (
	"cmp"
	"context"
	"encoding/hex"
	"strconv"

	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

type priceBookService struct {
	estimating *estimating.Service
	csv        book.CSVOptions
}

// ImportPrices implements wattle.v1.PriceBookService.
func (s priceBookService) ImportPrices(stream grpc.ClientStreamingServer[wattlev1.ImportPricesRequest, wattlev1.ImportPricesResponse]) error {
	file, err := openPriceFile(stream)
	if err != nil {
		return err
	}
	header := file.header
	in, err := importFromProto(header)
	if err != nil {
		return err
	}
	opt := s.csv // its rows name their office, or are of the list's
	opt.Office = cmp.Or(in.Office, estimating.CallerOf(stream.Context()).Office)
	opt.AcceptZeroPrices = in.AcceptZeroPrices
	list := file.list(opt)
	outcome, err := s.estimating.ImportPriceList(stream.Context(), in, list, func() (estimating.RequestKey, error) {
		key := requestKey(stream.Context(), "ImportPrices", header.GetParent(), header.GetRequestId(), file.requestHash())
		return key, file.whole(list)
	})
	if err != nil {
		return err
	}
	return stream.SendAndClose(outcomeToProto(outcome))
}

// ResolvePrices implements wattle.v1.PriceBookService.
func (s priceBookService) ResolvePrices(ctx context.Context, req *wattlev1.ResolvePricesRequest) (*wattlev1.ResolvePricesResponse, error) {
	v := &fault.List{}
	query := book.Query{
		Company: companyOf(req.GetParent()), Items: req.GetItems(),
		AsOf: readDate(v, "as_of", req.GetAsOf()), Currency: readCurrency(v, req.GetCurrency()),
	}
	wishes := wishesFromProto(v, req)
	suppliers := suppliersFromProto(v, req.GetPreferredSuppliers(), req.GetCheapestSupplier())
	if err := v.Err(); err != nil {
		return nil, err
	}
	var err error
	if query.Offices, query.AsOf, err = s.estimating.PricesAt(ctx, query.Company, req.GetOffice(), query.AsOf); err != nil {
		return nil, err
	}
	for item, wish := range wishes {
		wish.Preferred = estimating.Preferred(ctx, query.Offices[0], suppliers)
		wishes[item] = wish
	}
	explained, head, err := s.explain(ctx, req, query, wishes)
	if err != nil {
		return nil, err
	}
	return &wattlev1.ResolvePricesResponse{
		Revision: int64(head.Revision), HeadHash: hex.EncodeToString(head.Hash[:]),
		AsOf: query.AsOf.String(), Prices: explainedToProto(explained),
	}, nil
}

// explain looks for what became of other entries only where it is asked to.
func (s priceBookService) explain(ctx context.Context, req *wattlev1.ResolvePricesRequest, q book.Query, wishes map[string]book.Wish) ([]book.Explained, book.Head, error) {
	revision := revisionFromProto(req.Revision) //nolint:protogetter // nil says absent
	if req.GetExplain() {
		return s.estimating.ExplainPrices(ctx, q, wishes, revision)
	}
	resolved, head, err := s.estimating.ResolvePrices(ctx, q, revision)
	explained := make([]book.Explained, len(resolved))
	for i, r := range resolved {
		explained[i] = r.Explain(nil, q, wishes[r.Item])
	}
	return explained, head, err
}

// ListPriceHistory implements wattle.v1.PriceBookService.
//
// A page token holds the revision of the list's first entry and how many
// entries were given. Entries are only ever added, and newer ones come first:
// as known at that revision, the list stays what it was on the first page.
func (s priceBookService) ListPriceHistory(ctx context.Context, req *wattlev1.ListPriceHistoryRequest) (*wattlev1.ListPriceHistoryResponse, error) {
	revision, skip := revisionFromProto(req.Revision), 0 //nolint:protogetter // nil says absent
	from, err := readPageToken(req, req.GetPageToken())
	if err != nil {
		return nil, err
	}
	if from != nil {
		first, err := strconv.ParseInt(from[0], 10, 64)
		given, err2 := strconv.Atoi(from[1])
		if err != nil || err2 != nil || first < 0 || given < 0 || given > mostHistory {
			return nil, badPageToken("it is no token of this service")
		}
		revision, skip = revisionFromProto(&first), given
	}
	offices, _, err := s.estimating.PricesAt(ctx, companyOf(req.GetParent()), req.GetOffice(), civil.Date{})
	if err != nil {
		return nil, err
	}
	size := pageSize(req.GetPageSize())
	entries, err := s.estimating.PriceHistory(ctx, book.HistoryQuery{
		Company: companyOf(req.GetParent()), Item: req.GetItem(), Offices: offices, Limit: skip + size + 1,
	}, revision)
	if err != nil {
		return nil, err
	}
	answer := &wattlev1.ListPriceHistoryResponse{}
	if len(entries) > skip+size {
		answer.NextPageToken = pageToken(req, place{strconv.FormatInt(int64(entries[0].Revision), 10), strconv.Itoa(skip + size)})
		entries = entries[:skip+size]
	}
	answer.Entries = entriesToProto(entries[min(skip, len(entries)):])
	return answer, nil
}

// mostHistory bounds what a forged token can make a store read: far more
// entries than an item gets in a lifetime of daily price lists.
const mostHistory = 100_000
