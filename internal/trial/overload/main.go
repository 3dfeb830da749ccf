// Overload tries the service at twice what it can do. It builds and starts the
// real program with a private Postgres, measures what it does when a few clients
// call one after another, then has client processes call at half that rate, at
// twice that rate, and at half again, by CreateQuote and PlanLayout in turn. Calls go off when
// they are due, whether or not earlier ones were answered, and times count from
// when they were due. It prints how long accepted calls took at half and at
// twice, how many were refused and how fast, the service's memory, and how soon
// all was as before.
//
//	go run ./internal/trial/overload
//
// It ends with an error where accepted calls' 99th percentile at twice is over
// two times that at half, where memory grows with the flood, where a call fails
// by anything but a refusal that says when to come back, or where it takes too
// long until all is as before.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"runtime"
	"strings"
	"syscall"
	"time"
)

// What is held against the figures.
const (
	mostRatio    = 2.0
	mostRecovery = 5 * time.Second
	spareMiB     = 64 // over one and a half times what half load took
)

func main() {
	if len(os.Args) == 3 && os.Args[1] == clientWord {
		exit(client(os.Args[2]))
	}
	half := flag.Duration("half", 20*time.Second, "how long to call at half capacity, before the flood and after it")
	flood := flag.Duration("flood", 30*time.Second, "how long to call at twice capacity")
	measure := flag.Duration("measure", 10*time.Second, "how long to measure capacity")
	closed := flag.Int("clients", runtime.NumCPU()+1, "clients that measure capacity, as many as the service works for at once")
	processes := flag.Int("processes", 2, "client processes of the flood")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	exit(try(ctx, *measure, *half, *flood, *closed, *processes, flag.Args()))
}

func exit(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "overload:", err)
		os.Exit(1)
	}
	os.Exit(0)
}

func try(ctx context.Context, measure, half, flood time.Duration, closed, processes int, flags []string) (err error) {
	s, err := start(ctx, flags)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.stop()) }()
	fmt.Printf("machine: %s/%s, %d cores, %s; the service, its Postgres and the clients share them\n", runtime.GOOS, runtime.GOARCH, runtime.NumCPU(), runtime.Version())
	fmt.Printf("service: wattle serve --local %s\n", strings.Join(s.flags, " "))
	fmt.Printf("calls: CreateQuote of testdata/demo/job.yaml, stored, and PlanLayout of its site, in turn\n\n")
	base := order{Address: s.address, Key: s.key, Quote: s.quote, Layout: s.layout}

	warm := base
	warm.Closed, warm.Phases = closed, []phase{{Seconds: 3}}
	if _, err := run(ctx, warm, 1); err != nil {
		return err
	}
	rest := s.resident()
	warm.Phases = []phase{{Seconds: measure.Seconds()}}
	got, err := run(ctx, warm, 1)
	if err != nil {
		return err
	}
	done := accepted(got)
	capacity := float64(len(done)) / measure.Seconds()
	fmt.Printf("capacity: %.0f calls/s, %d clients one call after another for %s; p50 %s, p99 %s, %d refused\n\n", capacity, closed, measure, ms(quantile(done, 0.50)), ms(quantile(done, 0.99)), len(refused(got)))
	if n := len(got) - len(done) - len(refused(got)); n > 0 || len(done) == 0 {
		return fmt.Errorf("%d calls failed while capacity was measured: %v", n, codesOf(got))
	}

	open := base
	open.Phases = []phase{{capacity / 2, half.Seconds()}, {capacity * 2, flood.Seconds()}, {capacity / 2, half.Seconds()}}
	watch := s.watch()
	got, err = run(ctx, open, processes)
	memory := watch()
	if err != nil {
		return err
	}
	return judge(split(got, half, flood), memory, rest, capacity)
}

// run gives an order to client processes, each an equal share of it, and
// collects what came of their calls.
func run(ctx context.Context, o order, processes int) ([]call, error) {
	program, err := os.Executable()
	if err != nil {
		return nil, err
	}
	type result struct {
		calls []call
		err   error
	}
	results := make(chan result)
	at := time.Now().Add(500 * time.Millisecond)
	for i := range processes {
		mine := o
		mine.Seed, mine.Start = uint64(i)+uint64(at.UnixNano()), at
		mine.Phases = make([]phase, len(o.Phases))
		for j, p := range o.Phases {
			mine.Phases[j] = phase{p.PerSecond / float64(processes), p.Seconds}
		}
		go func() {
			text, err := json.Marshal(mine)
			if err != nil {
				results <- result{nil, err}
				return
			}
			cmd := exec.CommandContext(ctx, program, clientWord, string(text)) //nolint:gosec // this program itself
			// One core for a client, so that it is the service that is overloaded.
			cmd.Env = append(os.Environ(), "GOMAXPROCS=1", "GOGC=400")
			cmd.Stderr = os.Stderr
			out, err := cmd.Output()
			var calls []call
			if err == nil {
				err = json.Unmarshal(out, &calls)
			}
			results <- result{calls, err}
		}()
	}
	var all []call
	for range processes {
		r := <-results
		all, err = append(all, r.calls...), errors.Join(err, r.err)
	}
	return all, err
}
