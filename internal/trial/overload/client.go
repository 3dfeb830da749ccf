package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"sync"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/encoding"
	"google.golang.org/grpc/mem"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protowire"

	wattlev1 "wattle/api/wattle/v1"
)

// clientWord starts this program as one of its clients.
const clientWord = "client"

// order is what a client process shall do.
type order struct {
	Address, Key  string
	Quote, Layout []byte // the requests, but for the quote's request id
	Seed          uint64
	Start         time.Time
	// Closed clients call one after another for the first phase; with none, calls
	// go off by chance at the phases' rates.
	Closed int
	Phases []phase
}

type phase struct{ PerSecond, Seconds float64 }

// call is what came of one.
type call struct {
	Due    int64 // when it was due, in microseconds since the start
	Took   int64 // from then on, in microseconds
	Quote  bool
	Status codes.Code
	Later  bool // refused, with the time to come back at
}

// refusedPause is how long one who calls after another waits where he was
// refused, as on a machine that others disturb.
const refusedPause = 50 * time.Millisecond

// patience is how long a call may take at all.
const patience = 10 * time.Second

func client(text string) error {
	var o order
	if err := json.Unmarshal([]byte(text), &o); err != nil {
		return err
	}
	c := &caller{order: o}
	for range 4 {
		conn, err := grpc.NewClient(o.Address, grpc.WithTransportCredentials(insecure.NewCredentials()), grpc.WithDefaultCallOptions(grpc.ForceCodecV2(plain{})))
		if err != nil {
			return err
		}
		conn.Connect()
		c.conns = append(c.conns, conn)
	}
	time.Sleep(time.Until(o.Start))
	if o.Closed > 0 {
		c.oneAfterAnother()
	} else {
		c.whenDue()
	}
	for _, conn := range c.conns {
		if err := conn.Close(); err != nil {
			return err
		}
	}
	return json.NewEncoder(os.Stdout).Encode(c.calls)
}

type caller struct {
	order
	conns []*grpc.ClientConn

	all   sync.WaitGroup
	mu    sync.Mutex
	calls []call
}

func (c *caller) oneAfterAnother() {
	end := c.Start.Add(time.Duration(c.Phases[0].Seconds * float64(time.Second)))
	for i := range c.Closed {
		c.all.Go(func() {
			for n := 0; time.Now().Before(end); n++ {
				if c.make(time.Now(), i+n*c.Closed) {
					time.Sleep(refusedPause)
				}
			}
		})
	}
	c.all.Wait()
}

// whenDue calls at times that are as far apart as chance has it, as of callers
// who know nothing of each other.
func (c *caller) whenDue() {
	chance := rand.New(rand.NewPCG(c.Seed, 0)) //nolint:gosec // no secret
	end, n := c.Start, 0
	for _, p := range c.Phases {
		due := end
		end = end.Add(time.Duration(p.Seconds * float64(time.Second)))
		for {
			due = due.Add(time.Duration(chance.ExpFloat64() / p.PerSecond * float64(time.Second)))
			if !due.Before(end) {
				break
			}
			time.Sleep(time.Until(due))
			at, number := due, n
			n++
			c.all.Go(func() { c.make(at, number) })
		}
	}
	c.all.Wait()
}

// make makes one call that was due, keeps what came of it, and reports whether it
// was refused.
func (c *caller) make(due time.Time, n int) (later bool) {
	ctx, cancel := context.WithTimeout(metadata.AppendToOutgoingContext(context.Background(), "authorization", "Bearer "+c.Key), patience)
	defer cancel()
	method, request, quote := wattlev1.LayoutService_PlanLayout_FullMethodName, c.Layout, n/c.turns()%2 == 0
	if quote {
		method = wattlev1.QuoteService_CreateQuote_FullMethodName
		request = protowire.AppendTag(append([]byte(nil), c.Quote...), requestIDField, protowire.BytesType)
		request = protowire.AppendString(request, fmt.Sprintf("trial-%d-%d", c.Seed, n))
	}
	var answer []byte
	err := c.conns[n%len(c.conns)].Invoke(ctx, method, &request, &answer)
	took := call{Due: due.Sub(c.Start).Microseconds(), Took: time.Since(due).Microseconds(), Quote: quote, Status: status.Code(err)}
	for _, detail := range status.Convert(err).Details() {
		_, is := detail.(*errdetails.RetryInfo)
		took.Later = took.Later || is
	}
	c.mu.Lock()
	c.calls = append(c.calls, took)
	c.mu.Unlock()
	return took.Later
}

// turns is after how many calls the method changes, so that each closed client
// makes both.
func (c *caller) turns() int { return max(1, c.Closed) }

// requestIDField is the number of request_id in CreateQuoteRequest.
var requestIDField = (*wattlev1.CreateQuoteRequest)(nil).ProtoReflect().Descriptor().Fields().ByName("request_id").Number()

// plain sends bytes as they are and does not look into answers: what a client
// costs should be little beside the service.
type plain struct{}

var _ encoding.CodecV2 = plain{}

func (plain) Marshal(v any) (mem.BufferSlice, error) {
	request, ok := v.(*[]byte)
	if !ok {
		return nil, fmt.Errorf("expected bytes, found %T", v)
	}
	return mem.BufferSlice{mem.SliceBuffer(*request)}, nil
}

func (plain) Unmarshal(mem.BufferSlice, any) error { return nil }

func (plain) Name() string { return "proto" }
