package rpc

import (
	"context"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
)

type takeoffService struct{ estimating *estimating.Service }

// ComputeTakeoff implements wattle.v1.TakeoffService.
func (s takeoffService) ComputeTakeoff(ctx context.Context, req *wattlev1.ComputeTakeoffRequest) (*wattlev1.ComputeTakeoffResponse, error) {
	ground, fence, err := jobFromProto(req)
	if err != nil {
		return nil, err
	}
	l, t, used, err := s.estimating.ComputeTakeoff(ctx, ground, fence)
	if err != nil {
		return nil, err
	}
	return &wattlev1.ComputeTakeoffResponse{Takeoff: takeoffToProto(t, l), Spec: SpecToProto(used)}, nil
}
