package rpc

import (
	"context"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// RepriceQuote implements wattle.v1.QuoteService.
func (s quoteService) RepriceQuote(ctx context.Context, req *wattlev1.RepriceQuoteRequest) (*wattlev1.RepriceQuoteResponse, error) {
	v := &fault.List{}
	in := estimating.Reprice{
		AsOf:     readDate(v, "as_of", req.GetAsOf()),
		Revision: revisionFromProto(req.Revision), //nolint:protogetter // nil says absent
	}
	in.Company, in.ID = quoteOf(req.GetName())
	if err := v.Err(); err != nil {
		return nil, err
	}
	repricing, err := s.estimating.RepriceQuote(ctx, in)
	if err != nil {
		return nil, err
	}
	return repricingToProto(req.GetName(), repricing), nil
}
