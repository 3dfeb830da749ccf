package main

import (
	"context"
	"net"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"

	wattlev1 "wattle/api/wattle/v1"
)

// clients is how many call at once, of whatever is measured.
const clients = 8

// connect serves on a loopback port and dials it, with a key where there is one.
func connect(b *testing.B, key string, serve func(context.Context, ...net.Listener) error) *grpc.ClientConn {
	b.Helper()
	lis, err := (&net.ListenConfig{}).Listen(b.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	served := make(chan error, 1)
	go func() { served <- serve(ctx, lis) }()
	conn, err := grpc.NewClient(lis.Addr().String(), grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithUnaryInterceptor(func(ctx context.Context, method string, req, reply any, cc *grpc.ClientConn, invoke grpc.UnaryInvoker, opts ...grpc.CallOption) error {
			if key != "" {
				ctx = metadata.AppendToOutgoingContext(ctx, "authorization", "Bearer "+key)
			}
			return invoke(ctx, method, req, reply, cc, opts...)
		}))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = conn.Close(); stop(); <-served })
	return conn
}

// serveUntil serves by a plain server until a context ends.
func serveUntil(server *grpc.Server) func(context.Context, ...net.Listener) error {
	return func(ctx context.Context, listeners ...net.Listener) error {
		stop := context.AfterFunc(ctx, server.Stop)
		defer stop()
		return server.Serve(listeners[0])
	}
}

// load has every client repeat its work for about the given time, and is how often
// it was done, by all of them, per second. Each turn of the work has a number.
func load(b *testing.B, length time.Duration, work func(ctx context.Context, turn int) error) float64 {
	b.Helper()
	ctx, cancel := context.WithCancelCause(b.Context())
	defer cancel(nil)
	var turns atomic.Int64
	var all sync.WaitGroup
	start := time.Now()
	for range clients {
		all.Go(func() {
			for time.Since(start) < length && ctx.Err() == nil {
				if err := work(ctx, int(turns.Add(1))); err != nil {
					cancel(err)
				}
			}
		})
	}
	all.Wait()
	if err := context.Cause(ctx); err != nil {
		b.Fatal(err)
	}
	return float64(turns.Load()) / time.Since(start).Seconds()
}

// report gives the medians of what was measured in turns, and the median of the
// ratios, ours to theirs.
func report(b *testing.B, unit string, ours []float64, theirUnit string, theirs []float64) {
	b.Helper()
	ratios := make([]float64, len(ours))
	for i := range ours {
		ratios[i] = ours[i] / theirs[i]
	}
	median := func(of []float64) float64 {
		sorted := slices.Sorted(slices.Values(of))
		return sorted[len(sorted)/2]
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(median(ours), unit)
	b.ReportMetric(median(theirs), theirUnit)
	b.ReportMetric(median(ratios), "ratio")
}

// nowhere takes what is written and keeps none of it; io.Discard would make the
// log skip its work.
type nowhere struct{}

func (nowhere) Write(b []byte) (int, error) { return len(b), nil }

// yard is a U of 148 ft with two gates: 20 bays of at most 8 ft.
func yard() *wattlev1.Site {
	point := func(east, north string) *wattlev1.Vertex { return &wattlev1.Vertex{East: east, North: north} }
	return &wattlev1.Site{Runs: []*wattlev1.Run{{
		Id:       "yard",
		Vertices: []*wattlev1.Vertex{point("0 ft", "0 ft"), point("0 ft", "-44 ft"), point("66 ft", "-44 ft"), point("66 ft", "0 ft")},
		Start:    &wattlev1.Terminus{TieIn: true}, End: &wattlev1.Terminus{TieIn: true},
		Gates: []*wattlev1.Gate{
			{Id: "walk", Station: "12 ft", Width: "4 ft", Leaves: 1},
			{Id: "drive", Station: "70 ft", Width: "10 ft", Leaves: 2},
		},
	}}}
}

func fence() *wattlev1.Spec { return &wattlev1.Spec{Name: "privacy", Height: "6 ft"} }
