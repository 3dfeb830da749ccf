package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"time"

	"google.golang.org/grpc/codes"

	"wattle/internal/trial/driver"
)

// fault is a case.
type fault struct {
	name, what string
	// root and tools are what it takes to run it.
	root  bool
	tools []string
	// local: the service runs its own Postgres. apart: jobs are worked off in a
	// process of their own.
	local, apart bool
	// disk makes the folder that Postgres is going to be in; prepare readies the
	// running one for the fault.
	disk    func(ctx context.Context, s *scene, dir string) error
	prepare func(ctx context.Context, s *scene) error
	// do begins the fault and ends it.
	do func(ctx context.Context, s *scene, c fault) error
	// unready: the service must say that it is not ready while the fault lasts.
	// steady: it must say that it is, all the time.
	unready, steady bool
}

// What is promised, in times. They are generous: this runs beside other work.
const (
	unreadyWithin  = 8 * time.Second  // from the fault: asked every second, 3 s to answer
	readyWithin    = 20 * time.Second // from its end
	answeredWithin = 30 * time.Second // from its end, the service's own start and crash recovery included
	settledWithin  = 15 * time.Second // from its end, until no try fails any more
	hangsWithin    = try + 3*time.Second
	mostMB         = 300
)

// The load before the fault, and how long calls go well after it.
const (
	calmBefore = 3 * time.Second
	calmAfter  = 4 * time.Second
)

// result is what came of a case.
type result struct {
	name   string
	notRun string   // why
	broken []string // promises

	lasted                                  time.Duration
	failed, acknowledged, lost, wrong       int
	unreadyAfter, readyAfter, answeredAfter *time.Duration
	settledAfter                            *time.Duration // when the last try failed
}

func (r *result) breaks(format string, args ...any) {
	r.broken = append(r.broken, fmt.Sprintf(format, args...))
}

// run plays a case and prints what it saw.
func run(ctx context.Context, c fault, s settings) result {
	r := result{name: c.name}
	fmt.Printf("\n== %s: %s\n", c.name, c.what)
	if r.notRun = missing(c); r.notRun != "" {
		fmt.Printf("   !!! NOT RUN: %s\n", r.notRun)
		return r
	}
	sc, err := raise(ctx, c, s)
	if err == nil {
		err = play(ctx, c, sc, &r)
	}
	if err != nil {
		r.breaks("%v", err)
	}
	if err := sc.clear(); err != nil {
		r.breaks("clearing away: %v", err)
	}
	for _, b := range r.broken {
		fmt.Printf("   BROKEN: %s\n", b)
	}
	return r
}

// missing is what keeps a case from being run here.
func missing(c fault) string {
	if c.root && os.Geteuid() != 0 {
		return "it needs root"
	}
	for _, name := range c.tools {
		if _, err := exec.LookPath(name); err != nil {
			return "it needs " + name
		}
	}
	return ""
}

// play puts the load on, has the fault happen and holds everything to what was
// promised.
func play(ctx context.Context, c fault, s *scene, r *result) error {
	s.ready = s.driver.WatchReadiness(ctx, "http://"+s.http+"/readyz")
	loaded, stop := context.WithCancel(ctx)
	ran := make(chan error, 1)
	go func() { ran <- s.driver.Run(loaded) }()
	err := pause(ctx, calmBefore)
	if err == nil {
		err = c.do(ctx, s, c)
	}
	if err == nil {
		err = s.recovered(ctx)
	}
	stop()
	if e := <-ran; err == nil {
		err = e
	}
	s.ready.Stop()
	s.told(c, r)
	if err != nil {
		return err
	}
	verifying, cancel := context.WithTimeout(ctx, 5*time.Minute)
	defer cancel()
	verdict, err := s.driver.Verify(verifying)
	if err != nil {
		return fmt.Errorf("the comparison: %w", err)
	}
	r.acknowledged, r.lost, r.wrong = verdict.Acknowledged, verdict.Lost, len(verdict.Problems)-verdict.Lost
	fmt.Println("   ledger: " + strings.ReplaceAll(verdict.String(), "\n", "\n   "))
	for _, p := range verdict.Problems {
		r.breaks("%s", p)
	}
	s.note()
	fmt.Printf("   service: at most %d MB, slowest call %.1f s\n", s.peak, s.slowest.Seconds())
	if s.peak > mostMB {
		r.breaks("the service held %d MB", s.peak)
	}
	if s.slowest > hangsWithin {
		r.breaks("a call hung in the service for %v, with a deadline of %v", s.slowest, try)
	}
	return s.jobsDone(verifying, verdict, r)
}

// recovered waits for the first answer after the fault, then for calls to go well
// for a while. Where no answer comes, told says so.
func (s *scene) recovered(ctx context.Context) error {
	for waited := time.Duration(0); waited < answeredWithin+readyWithin; waited += 100 * time.Millisecond {
		if _, ok := s.driver.Timeline().FirstAfter(s.ended); ok {
			return pause(ctx, calmAfter)
		}
		if err := pause(ctx, 100*time.Millisecond); err != nil {
			return err
		}
	}
	return nil
}

// told prints what clients and probes saw, and holds that against the promises.
func (s *scene) told(c fault, r *result) {
	timeline := s.driver.Timeline()
	if s.verbose {
		_ = timeline.Write(os.Stdout) // a terminal that went away has nobody left to tell
		for _, change := range s.ready.Changes() {
			fmt.Printf("   %+.1f s ready: %v\n", change.At.Sub(s.began).Seconds(), change.Ready)
		}
	}
	failed := timeline.Failed()
	for code, n := range failed {
		r.failed += n
		switch code {
		case codes.Unavailable, codes.DeadlineExceeded, codes.ResourceExhausted, codes.Aborted:
		default:
			r.breaks("%d tries ended with %s, which tells a client nothing", n, code)
		}
	}
	if s.began.IsZero() || s.ended.IsZero() {
		return // the fault did not come to its end, and play says why
	}
	r.lasted = s.ended.Sub(s.began)
	noticed := s.ended // a short fault is over before it is noticed
	if at, ok := s.ready.FirstAfter(s.began, false); ok {
		r.unreadyAfter = after(s.began, at)
		if at.After(noticed) {
			noticed = at
		}
	}
	if at, ok := s.ready.FirstAfter(noticed, true); ok {
		r.readyAfter = after(s.ended, at)
	}
	if at, ok := timeline.FirstAfter(s.ended); ok {
		r.answeredAfter = after(s.ended, at)
	}
	if at := timeline.LastFailure(); at.After(s.ended) {
		r.settledAfter = after(s.ended, at)
		if *r.settledAfter > settledWithin {
			r.breaks("calls still failed %v after the fault's end", *r.settledAfter)
		}
	}
	fmt.Printf("   fault of %.1f s; %d acknowledged, failed tries: %s; not ready after %s s; after its end ready again %s s, first answer %s s, last failed try %s s\n",
		r.lasted.Seconds(), timeline.Acknowledged(), driver.Codes(failed), seconds(r.unreadyAfter), seconds(r.readyAfter), seconds(r.answeredAfter), seconds(r.settledAfter))
	switch {
	case c.unready && r.unreadyAfter == nil:
		r.breaks("the service went on to say that it was ready")
	case c.unready && *r.unreadyAfter > min(unreadyWithin, r.lasted):
		r.breaks("the service said that it was not ready only after %v", *r.unreadyAfter)
	case c.steady && r.unreadyAfter != nil:
		r.breaks("the service said that it was not ready, and it was")
	}
	if r.readyAfter == nil || *r.readyAfter > readyWithin {
		r.breaks("the service did not say that it was ready within %v of the fault's end", readyWithin)
	}
	if r.answeredAfter == nil || *r.answeredAfter > answeredWithin {
		r.breaks("no answer within %v of the fault's end", answeredWithin)
	}
}

func after(from, to time.Time) *time.Duration {
	d := to.Sub(from)
	return &d
}

// jobsDone waits until every event has reached the receiver and what each price
// list does to quotes has been told, each once.
func (s *scene) jobsDone(ctx context.Context, verdict *driver.Verdict, r *result) error {
	events, err := s.driver.Events(ctx, driver.EventTypes()...)
	if err != nil {
		return err
	}
	start := time.Now()
	ctx, cancel := context.WithTimeout(ctx, 3*time.Minute)
	defer cancel()
	for {
		impacts, err := s.driver.Events(ctx, "prices.impact")
		if err != nil && ctx.Err() == nil {
			return err
		}
		told := map[int64]int{}
		for _, e := range impacts {
			told[e.GetSequence()]++
		}
		taken := s.hooks.taken()
		missing := 0
		for _, e := range events {
			if taken[e.GetId()] == 0 {
				missing++
			}
		}
		if missing == 0 && int64(len(told)) == verdict.Revisions {
			again := 0
			for _, n := range taken {
				again += n - 1
			}
			fmt.Printf("   jobs: %d events delivered (%d once more), %d impacts told, %.1f s after the comparison\n", len(events), again, len(told), time.Since(start).Seconds())
			if len(taken) != len(events) {
				r.breaks("%d ids came to the webhook, of %d events", len(taken), len(events))
			}
			if len(impacts) != len(told) {
				r.breaks("%d impacts were told of %d revisions", len(impacts), len(told))
			}
			return nil
		}
		if pause(ctx, time.Second) != nil {
			r.breaks("jobs: %d of %d events were never delivered, the impacts of %d of %d revisions never told", missing, len(events), verdict.Revisions-int64(len(told)), verdict.Revisions)
			return nil
		}
	}
}
