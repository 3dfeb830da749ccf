package rpc

import (
	"context"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

type takeoffService struct{ estimating *estimating.Service }

// ComputeTakeoff implements wattle.v1.TakeoffService.
func (s takeoffService) ComputeTakeoff(ctx context.Context, req *wattlev1.ComputeTakeoffRequest) (*wattlev1.ComputeTakeoffResponse, error) {
	j, err := ReadJob(ctx, s.estimating, req)
	if err != nil {
		return nil, err
	}
	l, t, used, err := s.estimating.ComputeTakeoff(ctx, j.Site, j.Spec)
	if err != nil {
		return nil, j.Explain(err)
	}
	return &wattlev1.ComputeTakeoffResponse{Takeoff: takeoffToProto(t, l), Spec: SpecToProto(used), Closures: j.ClosuresToProto()}, nil
}
