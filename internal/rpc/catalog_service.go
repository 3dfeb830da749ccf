package rpc

import (
	"context"
	"strconv"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

type catalogService struct{ estimating *estimating.Service }

// SaveSpec implements wattle.v1.CatalogService.
func (s catalogService) SaveSpec(ctx context.Context, req *wattlev1.SaveSpecRequest) (*wattlev1.SaveSpecResponse, error) {
	in, err := saveSpecFromProto(ctx, req)
	if err != nil {
		return nil, err
	}
	saved, applied, err := s.estimating.SaveSpec(ctx, in)
	if err != nil {
		return nil, err
	}
	p, err := savedSpecToProto(saved)
	return &wattlev1.SaveSpecResponse{SavedSpec: p, Applied: applied}, err
}

// GetSpec implements wattle.v1.CatalogService.
func (s catalogService) GetSpec(ctx context.Context, req *wattlev1.GetSpecRequest) (*wattlev1.GetSpecResponse, error) {
	company, ref, err := entryFromProto(req.GetName())
	if err != nil {
		return nil, err
	}
	ref.Version = int(req.GetVersion())
	saved, err := s.estimating.GetSpec(ctx, company, ref)
	if err != nil {
		return nil, err
	}
	p, err := savedSpecToProto(saved)
	return &wattlev1.GetSpecResponse{SavedSpec: p}, err
}

// ListSpecs implements wattle.v1.CatalogService. A page token holds the name of
// the last entry given.
func (s catalogService) ListSpecs(ctx context.Context, req *wattlev1.ListSpecsRequest) (*wattlev1.ListSpecsResponse, error) {
	list, next, err := page(req, func(after string, limit int) ([]estimating.SavedSpec, error) {
		return s.estimating.ListSpecs(ctx, estimating.SpecFilter{
			Company: companyOf(req.GetParent()), Standard: req.GetIncludeStandard() || req.GetParent() == "", After: after, Limit: limit,
		})
	}, func(s estimating.SavedSpec) string { return s.Name })
	if err != nil {
		return nil, err
	}
	answer := &wattlev1.ListSpecsResponse{NextPageToken: next}
	answer.SavedSpecs, err = savedSpecsToProto(list)
	return answer, err
}

// ListSpecVersions implements wattle.v1.CatalogService. A page token holds the
// last version given.
func (s catalogService) ListSpecVersions(ctx context.Context, req *wattlev1.ListSpecVersionsRequest) (*wattlev1.ListSpecVersionsResponse, error) {
	company, ref, err := entryFromProto(req.GetName())
	if err != nil {
		return nil, err
	}
	size := pageSize(req.GetPageSize())
	filter := estimating.VersionFilter{Company: company, Name: ref.Name, Limit: size + 1}
	from, err := readPageToken(req, req.GetPageToken())
	if err != nil {
		return nil, err
	}
	if from != nil {
		before, err := strconv.ParseInt(from[0], 10, 32)
		if err != nil || before < 1 {
			return nil, badPageToken("it is no token of this service")
		}
		filter.Before = int(before)
	}
	list, err := s.estimating.ListSpecVersions(ctx, filter)
	if err != nil {
		return nil, err
	}
	answer := &wattlev1.ListSpecVersionsResponse{}
	if len(list) > size {
		list = list[:size]
		answer.NextPageToken = pageToken(req, place{strconv.Itoa(list[size-1].Version)})
	}
	answer.SavedSpecs, err = savedSpecsToProto(list)
	return answer, err
}

// WithdrawSpec implements wattle.v1.CatalogService.
func (s catalogService) WithdrawSpec(ctx context.Context, req *wattlev1.WithdrawSpecRequest) (*wattlev1.WithdrawSpecResponse, error) {
	company, ref, err := entryFromProto(req.GetName())
	if err != nil {
		return nil, err
	}
	saved, applied, err := s.estimating.WithdrawSpec(ctx,
		requestKey(ctx, "WithdrawSpec", company, req.GetRequestId(), requestHash(req, "request_id")), ref.Name)
	if err != nil {
		return nil, err
	}
	p, err := savedSpecToProto(saved)
	return &wattlev1.WithdrawSpecResponse{SavedSpec: p, Applied: applied}, err
}
