package rpc

import (
	"context"
	"strings"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

type actualsService struct{ estimating *estimating.Service }

// RecordActuals implements wattle.v1.ActualsService.
func (s actualsService) RecordActuals(ctx context.Context, req *wattlev1.RecordActualsRequest) (*wattlev1.RecordActualsResponse, error) {
	in, err := recordActualsFromProto(ctx, req)
	if err != nil {
		return nil, err
	}
	a, err := s.estimating.RecordActuals(ctx, in)
	if err != nil {
		return nil, err
	}
	return &wattlev1.RecordActualsResponse{Actuals: actualsToProto(a)}, nil
}

// GetActuals implements wattle.v1.ActualsService.
func (s actualsService) GetActuals(ctx context.Context, req *wattlev1.GetActualsRequest) (*wattlev1.GetActualsResponse, error) {
	company, id := quoteOf(req.GetQuote())
	a, err := s.estimating.GetActuals(ctx, company, id, versionFromProto(req.Version))
	if err != nil {
		return nil, err
	}
	return &wattlev1.GetActualsResponse{Actuals: actualsToProto(a)}, nil
}

// ListActuals implements wattle.v1.ActualsService. A page token holds the day and
// the job of the last one given.
func (s actualsService) ListActuals(ctx context.Context, req *wattlev1.ListActualsRequest) (*wattlev1.ListActualsResponse, error) {
	f, err := actualsFilterFromProto(req)
	if err != nil {
		return nil, err
	}
	list, next, err := page(req, func(after string, limit int) ([]estimating.Actuals, error) {
		f.Limit = limit
		if after != "" {
			day, job, _ := strings.Cut(after, " ")
			if f.BeforeFinished, err = civil.Parse(day); err != nil {
				return nil, badPageToken("it is no token of this service")
			}
			f.BeforeJob = job
		}
		return s.estimating.ListActuals(ctx, f)
	}, func(a estimating.Actuals) string { return a.FinishedOn.String() + " " + a.Job })
	answer := &wattlev1.ListActualsResponse{NextPageToken: next}
	for _, a := range list {
		answer.Actuals = append(answer.Actuals, actualsToProto(a))
	}
	return answer, err
}

// CompareActuals implements wattle.v1.ActualsService.
func (s actualsService) CompareActuals(ctx context.Context, req *wattlev1.CompareActualsRequest) (*wattlev1.CompareActualsResponse, error) {
	company, id := quoteOf(req.GetQuote())
	a, err := s.estimating.GetActuals(ctx, company, id, versionFromProto(req.Version))
	if err != nil {
		return nil, err
	}
	answer := &wattlev1.CompareActualsResponse{}
	for _, l := range a.Lines {
		d, err := l.Difference()
		if err != nil {
			return nil, err
		}
		answer.Lines = append(answer.Lines, actualsLineToProto(a.Currency, l, d))
	}
	a.Lines = nil
	answer.Actuals = actualsToProto(a)
	return answer, nil
}

// SummarizeActuals implements wattle.v1.ActualsService.
func (s actualsService) SummarizeActuals(ctx context.Context, req *wattlev1.SummarizeActualsRequest) (*wattlev1.SummarizeActualsResponse, error) {
	f, err := actualsFilterFromProto(req)
	var v fault.List
	if err := v.Merge(err); err != nil {
		return nil, err
	}
	in := estimating.SummarizeActuals{
		ActualsFilter: f, By: actualsByFromProto(req), LeastJobs: int(req.GetLeastJobs()),
		Effective: readDate(&v, "effective_date", req.GetEffectiveDate()),
	}
	if err := v.Err(); err != nil {
		return nil, err
	}
	sum, err := s.estimating.SummarizeActuals(ctx, in)
	if err != nil {
		return nil, err
	}
	return actualsSummaryToProto(sum), nil
}

func versionFromProto(p *int32) *int {
	if p == nil {
		return nil
	}
	return new(int(*p))
}
