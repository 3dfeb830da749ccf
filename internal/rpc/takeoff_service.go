package rpc

import (
	"context"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

type takeoffService struct{ estimating *estimating.Service }

// ComputeTakeoff implements wattle.v1.TakeoffService.
func (s takeoffService) ComputeTakeoff(ctx context.Context, req *wattlev1.ComputeTakeoffRequest) (*wattlev1.ComputeTakeoffResponse, error) {
	j, err := ReadJob(ctx, s.estimating, req)
	if err != nil {
		return nil, err
	}
	var v fault.List
	on := readDate(&v, "as_of", req.GetAsOf())
	if err := v.Err(); err != nil {
		return nil, err
	}
	c, err := s.estimating.ComputeTakeoff(ctx, j.Site, j.Spec, on)
	if err != nil {
		return nil, j.Explain(err)
	}
	return &wattlev1.ComputeTakeoffResponse{
		Takeoff: takeoffToProto(lengthsFor(ctx), c.Takeoff, c.Layout), Spec: SpecToProto(c.Spec),
		Closures: j.ClosuresToProto(), Checks: checksToProto(c.Checks),
	}, nil
}
