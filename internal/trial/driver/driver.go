package driver

import (
	"cmp"
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/backoff"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"
)

// Config is a load. Zero fields take the default named.
type Config struct {
	// Servers are addresses of one service; a client whose server cannot be
	// used goes on to the next.
	Servers []string
	TLS     *tls.Config // none
	Company string      // its id
	// Keys are secrets of the company that may do everything the driver does; the
	// clients share them out.
	Keys    []string
	Clients int // 4
	// Try is the deadline of each try of a request.
	Try time.Duration // 5 s
	// Patience is how long requests without an answer are repeated once the load
	// has ended.
	Patience time.Duration // 60 s
	// Pause is how long a client waits between requests.
	Pause  time.Duration
	Ledger *Ledger
}

// Driver makes the calls. Close it when it is done.
type Driver struct {
	config   Config
	parent   string
	conns    []*grpc.ClientConn
	run      string // begins the request ids of this driver
	timeline *Timeline
}

// New makes a driver; it connects when it first has to.
func New(c Config) (*Driver, error) {
	c.Clients = cmp.Or(c.Clients, 4)
	c.Try = cmp.Or(c.Try, 5*time.Second)
	c.Patience = cmp.Or(c.Patience, time.Minute)
	switch {
	case len(c.Servers) == 0:
		return nil, errors.New("a driver needs the address of a service")
	case c.Company == "":
		return nil, errors.New("a driver needs a company")
	case len(c.Keys) == 0:
		return nil, errors.New("a driver needs a key")
	case c.Ledger == nil:
		return nil, errors.New("a driver needs a ledger")
	}
	d := &Driver{config: c, parent: "companies/" + c.Company, run: strings.ToLower(rand.Text()[:8]), timeline: newTimeline()}
	security := insecure.NewCredentials()
	if c.TLS != nil {
		security = credentials.NewTLS(c.TLS)
	}
	for _, address := range c.Servers {
		conn, err := grpc.NewClient(address, grpc.WithTransportCredentials(security),
			// gRPC's own waits grow to two minutes; a trial wants to see the service as
			// soon as it is back.
			grpc.WithConnectParams(grpc.ConnectParams{
				Backoff:           backoff.Config{BaseDelay: 100 * time.Millisecond, Multiplier: 1.6, Jitter: 0.2, MaxDelay: time.Second},
				MinConnectTimeout: 2 * time.Second,
			}))
		if err != nil {
			return nil, errors.Join(err, d.Close())
		}
		d.conns = append(d.conns, conn)
	}
	return d, nil
}

// Close ends the connections.
func (d *Driver) Close() error {
	var errs []error
	for _, conn := range d.conns {
		errs = append(errs, conn.Close())
	}
	return errors.Join(errs...)
}

// Timeline is what became of the tries so far.
func (d *Driver) Timeline() *Timeline { return d.timeline }

// Prepare puts the price list into the book that the quotes need.
func (d *Driver) Prepare(ctx context.Context) error {
	c := d.client(0)
	_, err := c.do(ctx, c.firstPrices())
	return err
}

// Run has the clients work until ctx ends, then lets those that wait for an
// acknowledgement go on for the patience. What is still open then stays an
// intent of unknown outcome. An error is of the ledger, or a refusal that no
// request of the driver deserves.
func (d *Driver) Run(ctx context.Context) error {
	patient, stop := context.WithCancelCause(context.WithoutCancel(ctx))
	defer stop(nil)
	done := make(chan struct{})
	defer close(done)
	go func() {
		select {
		case <-ctx.Done():
		case <-done:
			return
		}
		select {
		case <-time.After(d.config.Patience):
			stop(errOutOfPatience)
		case <-done:
		}
	}()
	var wg sync.WaitGroup
	failed := make([]error, d.config.Clients)
	for i := range d.config.Clients {
		wg.Go(func() {
			c := d.client(i)
			for n := 0; ctx.Err() == nil; n++ {
				if err := c.story(patient, ctx.Done(), n); err != nil {
					if !errors.Is(err, errOutOfPatience) {
						failed[i] = fmt.Errorf("client %d: %w", i, err)
						stop(errOutOfPatience)
					}
					return
				}
			}
		})
	}
	wg.Wait()
	return errors.Join(failed...)
}

// errOutOfPatience leaves a request without an answer.
var errOutOfPatience = errors.New("no answer came in time")
