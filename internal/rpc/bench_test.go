package rpc

import (
	"testing"

	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/civil"
	"wattle/internal/estimating"
)

// bays20 is a run of twenty bays of 8 ft with a gate: the job that design 8
// measures.
func bays20() *wattlev1.PlanLayoutRequest {
	request := yard()
	request.Site.Runs[0].Vertices[1].East = "164 ft"
	return request
}

var today = civil.Must("2026-03-02")

// Where the time of a stateless call goes at this edge, part by part.
func BenchmarkEdge(b *testing.B) {
	request := bays20()
	use := &estimating.Service{}
	read, err := JobFromProto(request)
	if err != nil {
		b.Fatal(err)
	}
	ground, fence := read.Site, read.Spec
	made, err := use.ComputeTakeoff(b.Context(), ground, fence, today)
	if err != nil {
		b.Fatal(err)
	}
	validate, err := newValidation()
	if err != nil {
		b.Fatal(err)
	}
	planned := &wattlev1.PlanLayoutResponse{Layout: layoutToProto(made.Layout, ground), Spec: SpecToProto(made.Spec)}
	counted := &wattlev1.ComputeTakeoffResponse{Takeoff: takeoffToProto(new(lengths), made.Takeoff, made.Layout), Spec: SpecToProto(made.Spec)}
	for _, part := range []struct {
		name string
		do   func() error
	}{
		{"validate", func() error { return validate.check(request) }},
		{"read", func() error { _, err := JobFromProto(request); return err }},
		{"plan", func() error { _, _, err := use.PlanLayout(b.Context(), ground, fence); return err }},
		{"count", func() error { _, err := use.ComputeTakeoff(b.Context(), ground, fence, today); return err }},
		{"layout to proto", func() error { layoutToProto(made.Layout, ground); return nil }},
		{"take-off to proto", func() error { takeoffToProto(new(lengths), made.Takeoff, made.Layout); return nil }},
		{"spec to proto", func() error { SpecToProto(made.Spec); return nil }},
		{"size of layout", func() error { proto.Size(planned); return nil }},
		{"marshal layout", func() error { _, err := proto.Marshal(planned); return err }},
		{"marshal take-off", func() error { _, err := proto.Marshal(counted); return err }},
	} {
		b.Run(part.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := part.do(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkPlanAndCount is both calls over a connection in memory, with every
// interceptor.
func BenchmarkPlanAndCount(b *testing.B) {
	conn, _ := serve(b, &estimating.Service{}, Config{})
	layouts, takeoffs := wattlev1.NewLayoutServiceClient(conn), wattlev1.NewTakeoffServiceClient(conn)
	plan := bays20()
	count := &wattlev1.ComputeTakeoffRequest{Site: plan.GetSite(), Spec: plan.GetSpec()}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := layouts.PlanLayout(b.Context(), plan); err != nil {
			b.Fatal(err)
		}
		if _, err := takeoffs.ComputeTakeoff(b.Context(), count); err != nil {
			b.Fatal(err)
		}
	}
}
