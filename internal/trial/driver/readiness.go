package driver

import (
	"context"
	"net/http"
	"sync"
	"time"

	"google.golang.org/grpc"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
)

// Readiness follows what a service says of itself: by gRPC's health service, and
// at /readyz where it answers HTTP. A service that does not answer is not ready.
type Readiness struct {
	mu      sync.Mutex
	changes []ReadyChange
	stop    context.CancelFunc
	ended   chan struct{}
}

// ReadyChange is from when on the service said something else.
type ReadyChange struct {
	At    time.Time
	Ready bool
	// Split: gRPC and HTTP disagreed. They may for an instant, as they are asked
	// one after the other.
	Split bool
}

// readyEvery is how often readiness is asked for, and readyWait how long an
// answer may take.
const (
	readyEvery = 100 * time.Millisecond
	readyWait  = time.Second
)

// WatchReadiness asks until it is stopped. readyz is a whole URL, or empty.
func WatchReadiness(ctx context.Context, conn grpc.ClientConnInterface, readyz string) *Readiness {
	ctx, stop := context.WithCancel(ctx)
	r := &Readiness{stop: stop, ended: make(chan struct{})}
	go func() {
		defer close(r.ended)
		tick := time.NewTicker(readyEvery)
		defer tick.Stop()
		for ctx.Err() == nil {
			overGRPC := readyOverGRPC(ctx, conn)
			overHTTP := overGRPC
			if readyz != "" {
				overHTTP = readyOverHTTP(ctx, readyz)
			}
			if ctx.Err() != nil { // nobody was asked
				return
			}
			r.note(ReadyChange{time.Now(), overGRPC && overHTTP, overGRPC != overHTTP})
			select {
			case <-tick.C:
			case <-ctx.Done():
			}
		}
	}()
	return r
}

// WatchReadiness follows the driver's first server.
func (d *Driver) WatchReadiness(ctx context.Context, readyz string) *Readiness {
	return WatchReadiness(ctx, d.conns[0], readyz)
}

func (r *Readiness) note(c ReadyChange) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if n := len(r.changes); n == 0 || r.changes[n-1].Ready != c.Ready || r.changes[n-1].Split != c.Split {
		r.changes = append(r.changes, c)
	}
}

// Stop ends the asking.
func (r *Readiness) Stop() {
	r.stop()
	<-r.ended
}

// Changes are what the service said, each from when on.
func (r *Readiness) Changes() []ReadyChange {
	r.mu.Lock()
	defer r.mu.Unlock()
	return append([]ReadyChange(nil), r.changes...)
}

// FirstAfter is when the service first said ready, or not, at or after a time;
// that time itself where it said so already.
func (r *Readiness) FirstAfter(at time.Time, ready bool) (time.Time, bool) {
	said := false
	for _, c := range r.Changes() {
		if c.At.Before(at) {
			said = c.Ready == ready
			continue
		}
		if said {
			return at, true
		}
		if c.Ready == ready {
			return c.At, true
		}
	}
	return at, said
}

func readyOverGRPC(ctx context.Context, conn grpc.ClientConnInterface) bool {
	ctx, cancel := context.WithTimeout(ctx, readyWait)
	defer cancel()
	answer, err := healthv1.NewHealthClient(conn).Check(ctx, &healthv1.HealthCheckRequest{})
	return err == nil && answer.GetStatus() == healthv1.HealthCheckResponse_SERVING
}

func readyOverHTTP(ctx context.Context, url string) bool {
	ctx, cancel := context.WithTimeout(ctx, readyWait)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, url, nil)
	if err != nil {
		return false
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return false
	}
	_ = resp.Body.Close() // the status is all that is asked for
	return resp.StatusCode == http.StatusOK
}
