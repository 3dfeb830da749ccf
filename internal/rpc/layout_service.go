package rpc

import (
	"context"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/layout"
	"wattle/internal/spec"
)

type layoutService struct{ estimating *estimating.Service }

// PlanLayout implements wattle.v1.LayoutService.
func (s layoutService) PlanLayout(ctx context.Context, req *wattlev1.PlanLayoutRequest) (*wattlev1.PlanLayoutResponse, error) {
	p, err := s.plan(ctx, req)
	if err != nil {
		return nil, err
	}
	ls := lengthsFor(ctx)
	answer := p.answer(ls)
	answer.Layout.Posts, answer.Layout.Bays = placedPosts(ls, p.l.Posts, p.job.Site), placedBays(ls, p.l.Bays, p.l)
	return answer, nil
}

// planned is a layout with the job it was planned for.
type planned struct {
	job  Job
	l    *layout.Layout
	used spec.Spec
}

func (s layoutService) plan(ctx context.Context, req jobRequest) (planned, error) {
	j, err := ReadJob(ctx, s.estimating, req)
	if err != nil {
		return planned{}, err
	}
	l, used, err := s.estimating.PlanLayout(ctx, j.Site, j.Spec)
	return planned{j, l, used}, j.Explain(err)
}

// answer is everything but the posts and the bays.
func (p planned) answer(ls *lengths) *wattlev1.PlanLayoutResponse {
	return &wattlev1.PlanLayoutResponse{
		Layout: aroundToProto(ls, p.l, p.job.Site), Spec: SpecToProto(p.used),
		Site: p.job.echo(), Closures: p.job.ClosuresToProto(), GeojsonOrigin: p.job.geoOriginToProto(),
	}
}

// DrawLayout implements wattle.v1.LayoutService.
func (s layoutService) DrawLayout(ctx context.Context, req *wattlev1.DrawLayoutRequest) (*wattlev1.DrawLayoutResponse, error) {
	p, err := s.plan(ctx, req)
	if err != nil {
		return nil, err
	}
	drawn := sheet{site: p.job.Site, spec: p.used, l: p.l, title: p.job.Spec.Name, paper: req.GetPaper()}
	var d *wattlev1.Document
	switch req.GetDrawing() {
	case wattlev1.DrawLayoutRequest_DRAWING_ELEVATION:
		d, err = drawn.elevation(req.GetRun())
	case wattlev1.DrawLayoutRequest_DRAWING_CREW_SHEET:
		d, err = drawn.crewSheet()
	case wattlev1.DrawLayoutRequest_DRAWING_UNSPECIFIED, wattlev1.DrawLayoutRequest_DRAWING_PLAN:
		d, err = drawn.plan()
	}
	return &wattlev1.DrawLayoutResponse{Document: d}, err
}
