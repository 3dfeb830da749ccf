package rpc

import (
	"context"

	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/costindex"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/money"
)

type costService struct{ estimating *estimating.Service }

// TrackCostPerFoot implements wattle.v1.CostService.
func (s costService) TrackCostPerFoot(req *wattlev1.TrackCostPerFootRequest, stream grpc.ServerStreamingServer[wattlev1.TrackCostPerFootResponse]) error {
	ctx := stream.Context()
	basket, window, err := s.costs(ctx, req)
	if err != nil {
		return err
	}
	offices := req.GetOffices()
	if len(offices) == 0 {
		offices = []string{""}
	}
	for _, office := range offices {
		followed, err := s.estimating.FollowCost(ctx, companyOf(req.GetParent()), office, basket, window)
		if err != nil {
			return underBasket(err)
		}
		series, err := followed.Series()
		if err != nil {
			return err
		}
		if err := stream.Send(&wattlev1.TrackCostPerFootResponse{Content: &wattlev1.TrackCostPerFootResponse_Header{Header: costHeaderToProto(followed)}}); err != nil {
			return err
		}
		if err := sendSeries(stream, followed, series, req.GetEvery()); err != nil {
			return err
		}
	}
	return nil
}

// sendSeries sends a series piece by piece, as the caller takes it.
func sendSeries(stream grpc.ServerStreamingServer[wattlev1.TrackCostPerFootResponse], f estimating.Followed, series costindex.Series, every wattlev1.CostEvery) error {
	span, sampled := spans[every]
	if !sampled {
		for steps := series.Steps; len(steps) > 0; {
			part := &wattlev1.CostSteps{}
			for _, step := range take(&steps) {
				part.Steps = append(part.Steps, costStepToProto(f, step))
			}
			if err := stream.Send(&wattlev1.TrackCostPerFootResponse{Content: &wattlev1.TrackCostPerFootResponse_Steps{Steps: part}}); err != nil {
				return err
			}
		}
		return nil
	}
	samples, err := series.Resample(span)
	for len(samples) > 0 && err == nil {
		part := &wattlev1.CostSamples{}
		for _, sample := range take(&samples) {
			part.Samples = append(part.Samples, costSampleToProto(sample))
		}
		err = stream.Send(&wattlev1.TrackCostPerFootResponse{Content: &wattlev1.TrackCostPerFootResponse_Samples{Samples: part}})
	}
	return err
}

// ComputeIndex implements wattle.v1.CostService.
func (s costService) ComputeIndex(ctx context.Context, req *wattlev1.ComputeIndexRequest) (*wattlev1.ComputeIndexResponse, error) {
	if req.GetTable() != nil {
		v := &fault.List{}
		goods := goodsFromProto(v.At("table"), req.GetTable())
		if err := v.Err(); err != nil {
			return nil, err
		}
		answer := &wattlev1.ComputeIndexResponse{}
		for _, p := range goods.Periods {
			answer.Periods = append(answer.Periods, &wattlev1.IndexPeriod{Label: p.Label})
		}
		return answer, addIndices(answer, req, goods)
	}
	wish, err := s.indexWish(ctx, req)
	if err != nil {
		return nil, err
	}
	table, err := s.estimating.IndexGoods(ctx, companyOf(req.GetParent()), req.GetOffice(), wish)
	if err != nil {
		return nil, underBasket(err)
	}
	answer := &wattlev1.ComputeIndexResponse{Revision: int64(table.Head.Revision)}
	for i, sample := range table.Samples {
		answer.Periods = append(answer.Periods, &wattlev1.IndexPeriod{
			Label: table.Goods.Periods[i].Label, From: sample.From.String(), To: sample.To.String(), Quotes: int32(table.Quotes[i]),
		})
	}
	return answer, addIndices(answer, req, table.Goods)
}

func (s costService) indexWish(ctx context.Context, req *wattlev1.ComputeIndexRequest) (estimating.IndexWish, error) {
	wish := estimating.IndexWish{Every: spanOr(req.GetEvery(), costindex.Month)}
	v := &fault.List{}
	v.Require(req.GetEvery() != wattlev1.CostEvery_COST_EVERY_STEP && req.GetEvery() != wattlev1.CostEvery_COST_EVERY_DAY, "every", "expected COST_EVERY_WEEK or COST_EVERY_MONTH")
	wish.Window = costWindowFromProto(v.At("window"), req.GetWindow())
	if err := v.Err(); err != nil {
		return wish, err
	}
	basket := req.GetBasket()
	if mix := req.GetQuotes(); mix != nil {
		wish.QuotesByDay = true
		basket = &wattlev1.CostBasket{Source: &wattlev1.CostBasket_Quotes{Quotes: mix.GetMix()}, Scope: mix.GetScope(), Currency: mix.GetCurrency()}
	}
	var err error
	wish.Basket, err = s.basket(ctx, req.GetParent(), basket)
	return wish, err
}

// addIndices adds a series for each formula.
func addIndices(answer *wattlev1.ComputeIndexResponse, req *wattlev1.ComputeIndexRequest, goods costindex.Goods) error {
	asked := req.GetFormulas()
	if len(asked) == 0 {
		for _, f := range costindex.Formulas() {
			asked = append(asked, formulas.wire[f.String()])
		}
	}
	for _, one := range asked {
		f := formulaNamed(formulas.domain[one])
		values, err := goods.Index(f, req.GetChained(), int(req.GetBase()))
		if err != nil {
			return err
		}
		series := &wattlev1.IndexSeries{Formula: one}
		for _, value := range values {
			series.Values = append(series.Values, money.Fixed(value, costindex.IndexDecimals))
		}
		answer.Series = append(answer.Series, series)
	}
	return nil
}

// ExplainChange implements wattle.v1.CostService.
func (s costService) ExplainChange(ctx context.Context, req *wattlev1.ExplainChangeRequest) (*wattlev1.ExplainChangeResponse, error) {
	basket, window, err := s.costs(ctx, req)
	if err != nil {
		return nil, err
	}
	followed, change, err := s.estimating.ExplainCost(ctx, companyOf(req.GetParent()), req.GetOffice(), basket, window)
	if err != nil {
		return nil, underBasket(err)
	}
	return costChangeToProto(followed, change), nil
}

// AssessRisk implements wattle.v1.CostService.
func (s costService) AssessRisk(ctx context.Context, req *wattlev1.AssessRiskRequest) (*wattlev1.AssessRiskResponse, error) {
	wish, err := riskFromProto(req)
	if err != nil {
		return nil, err
	}
	if wish.Basket, wish.Window, err = s.costs(ctx, req); err != nil {
		return nil, err
	}
	risk, err := s.estimating.AssessCost(ctx, companyOf(req.GetParent()), req.GetOffice(), wish)
	if err != nil {
		return nil, underBasket(err)
	}
	return riskToProto(risk), nil
}
