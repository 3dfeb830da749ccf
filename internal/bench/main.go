// Bench measures the service against the least any gRPC service must do. It
// runs an echo server, which unmarshals the same requests and answers with
// messages that were made beforehand, and the real server, side by side on
// loopback, with the same clients, in turns; it prints requests per second of
// both and their ratio. The job is a 20-bay yard: PlanLayout, then
// ComputeTakeoff.
//
//	go run ./internal/bench
package main

import (
	"context"
	"flag"
	"fmt"
	"log/slog"
	"net"
	"os"
	"os/signal"
	"runtime"
	"runtime/pprof"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/rpc"
)

func main() {
	if err := command(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func command() error {
	clients := flag.Int("clients", 8, "concurrent clients")
	rounds := flag.Int("rounds", 5, "rounds of each server, in turns")
	length := flag.Duration("round", 2*time.Second, "length of a round")
	profile := flag.String("cpuprofile", "", "write a CPU profile of the whole run to this file")
	flag.Parse()
	if *profile != "" {
		f, err := os.Create(*profile)
		if err != nil {
			return err
		}
		if err := pprof.StartCPUProfile(f); err != nil {
			return err
		}
		defer pprof.StopCPUProfile()
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	return run(ctx, *clients, *rounds, *length)
}

func run(ctx context.Context, clients, rounds int, length time.Duration) error {
	quiet := slog.New(slog.NewJSONHandler(nowhere{}, nil)) // lines are made, as in service, and go nowhere
	service, err := rpc.NewServer(&estimating.Service{}, rpc.Config{Log: quiet, Access: rpc.Access{Nobody: true}})
	if err != nil {
		return err
	}
	serviceConn, closeService, err := connect(func(ctx context.Context, lis net.Listener) error { return service.Serve(ctx, lis) })
	if err != nil {
		return err
	}
	defer closeService()
	layout, err := wattlev1.NewLayoutServiceClient(serviceConn).PlanLayout(ctx, &wattlev1.PlanLayoutRequest{Site: yard(), Spec: fence()})
	if err != nil {
		return err
	}
	takeoff, err := wattlev1.NewTakeoffServiceClient(serviceConn).ComputeTakeoff(ctx, &wattlev1.ComputeTakeoffRequest{Site: yard(), Spec: fence()})
	if err != nil {
		return err
	}
	echo := grpc.NewServer()
	wattlev1.RegisterLayoutServiceServer(echo, echoLayout{answer: layout})
	wattlev1.RegisterTakeoffServiceServer(echo, echoTakeoff{takeoff})
	echoConn, closeEcho, err := connect(func(ctx context.Context, lis net.Listener) error {
		defer context.AfterFunc(ctx, echo.Stop)()
		return echo.Serve(lis)
	})
	if err != nil {
		return err
	}
	defer closeEcho()

	fmt.Printf("machine: %s/%s, %d cores, %s; %d clients, %d rounds of %s each\n", runtime.GOOS, runtime.GOARCH, runtime.NumCPU(), runtime.Version(), clients, rounds, length)
	fmt.Printf("job: %d bays, %d posts; requests %d + %d bytes, answers %d + %d bytes\n",
		len(layout.GetLayout().GetBays()), len(layout.GetLayout().GetPosts()),
		proto.Size(&wattlev1.PlanLayoutRequest{Site: yard(), Spec: fence()}), proto.Size(&wattlev1.ComputeTakeoffRequest{Site: yard(), Spec: fence()}),
		proto.Size(layout), proto.Size(takeoff))
	var ratios []float64
	for i := range rounds + 1 {
		floor, err := load(ctx, echoConn, clients, length)
		if err != nil {
			return err
		}
		served, err := load(ctx, serviceConn, clients, length)
		if err != nil {
			return err
		}
		if i == 0 {
			continue // warm-up
		}
		ratios = append(ratios, served/floor)
		fmt.Printf("round %d: echo %7.0f requests/s, service %7.0f requests/s, ratio %.2f\n", i, floor, served, served/floor)
	}
	slices.Sort(ratios)
	fmt.Printf("ratio: median %.2f, from %.2f to %.2f (floor 0.50)\n", ratios[len(ratios)/2], ratios[0], ratios[len(ratios)-1])
	return nil
}

// connect serves on a loopback port and dials it.
func connect(serve func(context.Context, net.Listener) error) (*grpc.ClientConn, func(), error) {
	lis, err := (&net.ListenConfig{}).Listen(context.Background(), "tcp", "127.0.0.1:0")
	if err != nil {
		return nil, nil, err
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		defer close(done)
		_ = serve(ctx, lis) // ends with the listener
	}()
	conn, err := grpc.NewClient(lis.Addr().String(), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		cancel()
		return nil, nil, err
	}
	return conn, func() { _ = conn.Close(); cancel(); <-done }, nil
}

// load sends both calls in turn from each client for the given time, and
// answers with requests per second.
func load(ctx context.Context, conn *grpc.ClientConn, clients int, length time.Duration) (float64, error) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	var count atomic.Int64
	var workers sync.WaitGroup
	start := time.Now()
	for range clients {
		workers.Go(func() {
			layouts, takeoffs := wattlev1.NewLayoutServiceClient(conn), wattlev1.NewTakeoffServiceClient(conn)
			plan := &wattlev1.PlanLayoutRequest{Site: yard(), Spec: fence()}
			compute := &wattlev1.ComputeTakeoffRequest{Site: yard(), Spec: fence()}
			for time.Since(start) < length && ctx.Err() == nil {
				if _, err := layouts.PlanLayout(ctx, plan); err != nil {
					cancel(err)
					return
				}
				if _, err := takeoffs.ComputeTakeoff(ctx, compute); err != nil {
					cancel(err)
					return
				}
				count.Add(2)
			}
		})
	}
	workers.Wait()
	return float64(count.Load()) / time.Since(start).Seconds(), context.Cause(ctx)
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
