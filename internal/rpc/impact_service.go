package rpc

import (
	"context"

	"google.golang.org/protobuf/types/known/timestamppb"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/estimating"
)

type impactService struct{ estimating *estimating.Service }

// GetPriceImpact implements wattle.v1.ImpactService.
func (s impactService) GetPriceImpact(ctx context.Context, req *wattlev1.GetPriceImpactRequest) (*wattlev1.GetPriceImpactResponse, error) {
	sum, err := s.estimating.PriceImpact(ctx, companyOf(req.GetParent()), revisionFromProto(req.Revision)) //nolint:protogetter // nil says absent
	if err != nil {
		return nil, err
	}
	return &wattlev1.GetPriceImpactResponse{Summary: impactSummaryToProto(sum)}, nil
}

// ListPriceImpacts implements wattle.v1.ImpactService.
func (s impactService) ListPriceImpacts(ctx context.Context, req *wattlev1.ListPriceImpactsRequest) (*wattlev1.ListPriceImpactsResponse, error) {
	company := companyOf(req.GetParent())
	list, next, err := page(req, func(after string, limit int) ([]estimating.Impact, error) {
		return s.estimating.PriceImpacts(ctx, company, book.Revision(req.GetRevision()), after, limit)
	}, func(i estimating.Impact) string { return i.Quote })
	answer := &wattlev1.ListPriceImpactsResponse{NextPageToken: next}
	for _, i := range list {
		answer.Impacts = append(answer.Impacts, impactToProto(company, i))
	}
	return answer, err
}

func impactToProto(company string, i estimating.Impact) *wattlev1.PriceImpact {
	a := amountsIn(i.Currency)
	figures := func(f *estimating.ImpactFigures) *wattlev1.PriceImpact_Figures {
		if f == nil {
			return nil
		}
		return &wattlev1.PriceImpact_Figures{Cost: a.of(f.Cost), Total: a.of(f.Total)}
	}
	return &wattlev1.PriceImpact{
		Quote: quoteName(company, i.Quote), Office: i.Office, Currency: string(i.Currency),
		Then: figures(i.Then), Now: figures(i.Now), Difference: figures(i.Difference()),
		MissingItems: i.Missing, Reason: i.Reason,
	}
}

func impactSummaryToProto(s estimating.ImpactSummary) *wattlev1.PriceImpactSummary {
	p := &wattlev1.PriceImpactSummary{
		Revision: int64(s.Revision), AsOf: s.AsOf.String(), MovedQuotes: int32(s.Moved), LostQuotes: int32(s.Lost),
	}
	if !s.DoneAt.IsZero() {
		p.DoneTime = timestamppb.New(s.DoneAt)
	}
	for _, one := range s.Sums {
		a := amountsIn(one.Currency)
		p.Sums = append(p.Sums, &wattlev1.PriceImpactSummary_Sum{
			Currency: string(one.Currency), Quotes: int32(one.Quotes), Cost: a.of(one.Cost), Total: a.of(one.Total),
		})
	}
	for _, m := range s.Missing {
		p.MissingItems = append(p.MissingItems, &wattlev1.PriceImpactSummary_MissingItem{Item: m.Item, Quotes: int32(m.Quotes)})
	}
	return p
}
