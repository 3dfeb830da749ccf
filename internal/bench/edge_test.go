package main

import (
	"context"
	"log/slog"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/rpc"
)

// BenchmarkPlanAndCount measures PlanLayout, then ComputeTakeoff, of a yard of 20
// bays, against the least any gRPC service must do: an echo server that unmarshals
// the same requests and answers with messages of the same types that were made
// beforehand. Both stand on loopback in this process, with the same clients, in
// turns that are short, since a host's speed may change from second to second.
func BenchmarkPlanAndCount(b *testing.B) {
	quiet := slog.New(slog.NewJSONHandler(nowhere{}, nil)) // lines are made, as in service, and go nowhere
	service, err := rpc.NewServer(&estimating.Service{}, rpc.Config{Log: quiet, Access: rpc.Access{Nobody: true}})
	if err != nil {
		b.Fatal(err)
	}
	ours := connect(b, "", service.Serve)
	plan, count := &wattlev1.PlanLayoutRequest{Site: yard(), Spec: fence()}, &wattlev1.ComputeTakeoffRequest{Site: yard(), Spec: fence()}
	layout, err := wattlev1.NewLayoutServiceClient(ours).PlanLayout(b.Context(), plan)
	if err != nil {
		b.Fatal(err)
	}
	takeoff, err := wattlev1.NewTakeoffServiceClient(ours).ComputeTakeoff(b.Context(), count)
	if err != nil {
		b.Fatal(err)
	}
	echo := grpc.NewServer()
	wattlev1.RegisterLayoutServiceServer(echo, echoLayout{answer: layout})
	wattlev1.RegisterTakeoffServiceServer(echo, echoTakeoff{takeoff})
	theirs := connect(b, "", serveUntil(echo))
	b.Logf("%d bays, %d posts; requests of %d and %d bytes, answers of %d and %d bytes; %d clients", len(layout.GetLayout().GetBays()), len(layout.GetLayout().GetPosts()),
		proto.Size(plan), proto.Size(count), proto.Size(layout), proto.Size(takeoff), clients)

	both := func(conn *grpc.ClientConn) func(context.Context, int) error {
		layouts, takeoffs := wattlev1.NewLayoutServiceClient(conn), wattlev1.NewTakeoffServiceClient(conn)
		return func(ctx context.Context, _ int) error {
			if _, err := layouts.PlanLayout(ctx, plan); err != nil {
				return err
			}
			_, err := takeoffs.ComputeTakeoff(ctx, count)
			return err
		}
	}
	for _, conn := range []*grpc.ClientConn{ours, theirs} {
		load(b, time.Second, both(conn)) // warm
	}
	const turn = time.Second / 4
	var served, echoed []float64
	for b.Loop() {
		echoed = append(echoed, 2*load(b, turn, both(theirs)))
		served = append(served, 2*load(b, turn, both(ours)))
	}
	report(b, "requests/s", served, "echo-requests/s", echoed)
}

type echoLayout struct {
	wattlev1.LayoutServiceServer
	answer *wattlev1.PlanLayoutResponse
}

func (e echoLayout) PlanLayout(context.Context, *wattlev1.PlanLayoutRequest) (*wattlev1.PlanLayoutResponse, error) {
	return e.answer, nil
}

type echoTakeoff struct {
	answer *wattlev1.ComputeTakeoffResponse
}

func (e echoTakeoff) ComputeTakeoff(context.Context, *wattlev1.ComputeTakeoffRequest) (*wattlev1.ComputeTakeoffResponse, error) {
	return e.answer, nil
}
