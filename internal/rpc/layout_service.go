package rpc

import (
	"context"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/site"
	"wattle/internal/spec"
)

type layoutService struct{ estimating *estimating.Service }

// PlanLayout implements wattle.v1.LayoutService.
func (s layoutService) PlanLayout(ctx context.Context, req *wattlev1.PlanLayoutRequest) (*wattlev1.PlanLayoutResponse, error) {
	return s.plan(ctx, req)
}

func (s layoutService) plan(ctx context.Context, req jobRequest) (*wattlev1.PlanLayoutResponse, error) {
	ground, fence, err := jobFromProto(req)
	if err != nil {
		return nil, err
	}
	l, used, err := s.estimating.PlanLayout(ctx, ground, fence)
	if err != nil {
		return nil, err
	}
	return &wattlev1.PlanLayoutResponse{Layout: layoutToProto(l, ground), Spec: SpecToProto(used)}, nil
}

// DrawLayout implements wattle.v1.LayoutService.
func (s layoutService) DrawLayout(ctx context.Context, req *wattlev1.DrawLayoutRequest) (*wattlev1.DrawLayoutResponse, error) {
	ground, fence, err := jobFromProto(req)
	if err != nil {
		return nil, err
	}
	l, _, err := s.estimating.PlanLayout(ctx, ground, fence)
	if err != nil {
		return nil, err
	}
	d, err := planDocument(ground, l, fence.Name, req.GetPaper())
	return &wattlev1.DrawLayoutResponse{Document: d}, err
}

// jobRequest is a request that brings a job.
type jobRequest interface {
	GetSite() *wattlev1.Site
	GetSpec() *wattlev1.Spec
}

// jobFromProto reads what was measured and what to build; everything that
// cannot be read is in one error.
func jobFromProto(req jobRequest) (site.Site, spec.Spec, error) {
	v := &fault.List{}
	ground := SiteFromProto(v.At("site"), req.GetSite())
	fence := SpecFromProto(v.At("spec"), req.GetSpec())
	return ground, fence, v.Err()
}
