package main

import (
	"context"
	"fmt"
	"maps"
	"os"
	"time"

	"google.golang.org/grpc/codes"

	"wattle/internal/trial/driver"
)

// load is the clients of one service.
type load struct {
	name   string
	driver *driver.Driver
	ledger *driver.Ledger
	ready  *driver.Readiness
	ended  chan error
	failed map[codes.Code]int // when it was marked
}

// start puts the load on until ctx ends.
func (l *load) start(ctx context.Context) {
	l.ended = make(chan error, 1)
	l.ready = l.driver.WatchReadiness(context.WithoutCancel(ctx), "")
	go func() { l.ended <- l.driver.Run(ctx) }()
}

// mark notes what has failed so far.
func (l *load) mark() { l.failed = l.driver.Timeline().Failed() }

// outage is the first time without an acknowledgement after a fault that is
// longer than the calls themselves take.
func (l *load) outage(at time.Time) (from, until time.Time, ok bool) {
	const silence = 2 * time.Second
	timeline := l.driver.Timeline()
	from = at
	for {
		next, found := timeline.FirstAfter(from.Add(1))
		switch {
		case !found:
			return from, until, false
		case next.Sub(from) > silence:
			return from, next, true
		}
		from = next
	}
}

// awaitAcknowledged waits until requests are acknowledged again. A fault that
// nobody felt within a minute is none.
func (l *load) awaitAcknowledged(ctx context.Context, at time.Time) error {
	for time.Since(at) < 3*time.Minute {
		select {
		case err := <-l.ended:
			return fmt.Errorf("%s: the load ended by itself: %w", l.name, err)
		default:
		}
		if _, _, ok := l.outage(at); ok {
			return nil
		}
		if last, ok := l.driver.Timeline().FirstAfter(time.Now().Add(-time.Second)); ok && last.Sub(at) > 60*time.Second {
			return nil
		}
		if err := sleep(ctx, 100*time.Millisecond); err != nil {
			return err
		}
	}
	return fmt.Errorf("%s: nothing is acknowledged after three minutes", l.name)
}

func (l *load) report(at time.Time) {
	failed := l.driver.Timeline().Failed()
	maps.DeleteFunc(failed, func(code codes.Code, n int) bool { return n == l.failed[code] })
	for code := range failed {
		failed[code] -= l.failed[code]
	}
	from, until, ok := l.outage(at)
	if !ok {
		fmt.Printf("%-8s never without an acknowledgement for 2 s; failed tries: %s\n", l.name, driver.Codes(failed))
		return
	}
	ready := "ready all the while"
	if gone, ok := l.ready.FirstAfter(at, false); ok && gone.Before(until) {
		again, _ := l.ready.FirstAfter(gone.Add(1), true)
		ready = fmt.Sprintf("not ready from %.1f s to %.1f s", gone.Sub(at).Seconds(), again.Sub(at).Seconds())
	}
	fmt.Printf("%-8s no acknowledgement from %.1f s to %.1f s after it (%.1f s); %s; failed tries: %s\n",
		l.name, from.Sub(at).Seconds(), until.Sub(at).Seconds(), until.Sub(from).Seconds(), ready, driver.Codes(failed))
}

// finish waits for the last answers, and holds the service against the ledger.
func (l *load) finish(ctx context.Context, seconds bool) (bool, error) {
	if err := <-l.ended; err != nil {
		return false, err
	}
	l.ready.Stop()
	if seconds {
		if err := l.driver.Timeline().Write(os.Stdout); err != nil {
			return false, err
		}
	}
	verdict, err := l.driver.Verify(ctx)
	if err != nil {
		return false, err
	}
	fmt.Printf("%-8s %s\n", l.name, verdict)
	return len(verdict.Problems) == 0, nil
}
