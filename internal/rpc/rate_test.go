package rpc

import (
	"context"
	"fmt"
	"net"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// never refills within a test.
const never = 1e-6

// asked counts what the database is asked.
type asked struct{ n atomic.Int64 }

func (a *asked) TraceQueryStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceQueryStartData) context.Context {
	a.n.Add(1)
	return ctx
}

func (*asked) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

// as is a context whose calls show a key.
func as(t *testing.T, secret string) context.Context {
	return metadata.AppendToOutgoingContext(t.Context(), "authorization", "Bearer "+secret)
}

// A key has its burst, whatever other keys do; then it is told when to come
// back, and the database is not asked.
func TestKeysHaveARate(t *testing.T) {
	var count asked
	store := storetest.New(t, postgres.Traced(&count))
	secrets := []string{storetest.FirstKey(t, store, "harrow"), storetest.FirstKey(t, store, "moss")}
	meters := newScraped()
	address := onTCP(t, &estimating.Service{Offices: store, Quotes: store}, Config{
		Limits: Limits{Keys: Rate{never, 3}}, Telemetry: Telemetry{Meters: meters.provider},
	})
	quotes := wattlev1.NewQuoteServiceClient(dialTCP(t, address))
	call := func(i int) (metadata.MD, error) {
		var trailer metadata.MD
		_, err := quotes.ListQuotes(as(t, secrets[i]), &wattlev1.ListQuotesRequest{Parent: []string{"companies/harrow", "companies/moss"}[i]}, grpc.Trailer(&trailer))
		return trailer, err
	}
	for range 4 { // the first, by which it became known, and the burst
		if _, err := call(0); err != nil {
			t.Fatal(err)
		}
	}
	before := count.n.Load()
	trailer, err := call(0)
	st := wants(t, err, codes.ResourceExhausted, "RATE_LIMITED")
	if wait := detail[*errdetails.RetryInfo](st).GetRetryDelay().AsDuration(); wait.Hours() < 1 || len(trailer.Get(pushbackKey)) != 1 {
		t.Errorf("come back in %v, %v", wait, trailer)
	}
	if detail[*errdetails.RequestInfo](st).GetRequestId() == "" {
		t.Error("without a request id")
	}
	if n := count.n.Load(); n != before {
		t.Errorf("the database was asked %d times for a call that was refused", n-before)
	}
	if _, err := call(1); err != nil {
		t.Errorf("another key: %v", err)
	}
	if told := meters.text(t); !strings.Contains(told, "wattle.call.errors{code=RESOURCE_EXHAUSTED,reason=RATE_LIMITED} 1\n") {
		t.Errorf("counted:\n%s", told)
	}
}

// Who guesses keys is stopped by his address before the database is asked. Who
// has a key that was good before is not stopped with him, and health never is.
func TestStrangersHaveARate(t *testing.T) {
	var count asked
	store := storetest.New(t, postgres.Traced(&count))
	secret := storetest.FirstKey(t, store, "harrow")
	conn := dialTCP(t, onTCP(t, &estimating.Service{Offices: store, Quotes: store}, Config{Limits: Limits{Addresses: Rate{never, 4}}}))
	quotes := wattlev1.NewQuoteServiceClient(conn)
	call := func(ctx context.Context) error {
		_, err := quotes.ListQuotes(ctx, &wattlev1.ListQuotesRequest{Parent: "companies/harrow"})
		return err
	}
	if err := call(as(t, secret)); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		wants(t, call(as(t, fmt.Sprint("guess-", i))), codes.Unauthenticated, "KEY_UNKNOWN")
	}
	before := count.n.Load()
	wants(t, call(as(t, "guess-4")), codes.ResourceExhausted, "ADDRESS_RATE_LIMITED")
	wants(t, call(t.Context()), codes.ResourceExhausted, "ADDRESS_RATE_LIMITED")
	if n := count.n.Load(); n != before {
		t.Errorf("the database was asked %d times", n-before)
	}
	for range 10 {
		if err := call(as(t, secret)); err != nil {
			t.Fatalf("a key that is known: %v", err)
		}
		if _, err := healthv1.NewHealthClient(conn).Check(t.Context(), &healthv1.HealthCheckRequest{}); err != nil {
			t.Fatal(err)
		}
	}
}

// A key that is good no more is a stranger's again.
func TestForgottenKeys(t *testing.T) {
	d := newDoor(Limits{Addresses: Rate{never, 1}}, Access{})
	ctx := from(metadata.NewIncomingContext(t.Context(), metadata.Pairs("authorization", "Bearer x")), "10.0.0.1:1")
	enter := func(ctx context.Context) (context.Context, error) {
		ctx, v, err := d.enter(ctx, wattlev1.QuoteService_ListQuotes_FullMethodName, false)
		if err == nil {
			defer v.leave()
		}
		return ctx, err
	}
	first, err := enter(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := enter(ctx); err == nil {
		t.Error("an address without a token was let in")
	}
	d.rates.know(auth.Hash("x"), auth.Caller{Company: "harrow", Principal: "k"})
	if _, err := enter(ctx); err != nil {
		t.Error(err)
	}
	if err := settle(first, auth.Caller{}, gateKeyDead); err == nil {
		t.Error("the gate's word was lost")
	}
	if _, err := enter(ctx); err == nil {
		t.Error("a dead key is still known")
	}
}

func TestBucketsAreBounded(t *testing.T) {
	r := newRates(Rate{1, 1}, Rate{1, 1})
	for i := range mostBuckets + 5000 {
		r.stranger(fmt.Sprint(i))
		r.know(auth.Hash(fmt.Sprint(i)), auth.Caller{})
	}
	if r.addresses.Len() != mostBuckets || r.keys.Len() != mostBuckets {
		t.Errorf("%d addresses and %d keys are remembered", r.addresses.Len(), r.keys.Len())
	}
}

// from is ctx as of a call from an address.
func from(ctx context.Context, address string) context.Context {
	tcp, err := net.ResolveTCPAddr("tcp", address)
	if err != nil {
		panic(err)
	}
	return peer.NewContext(ctx, &peer.Peer{Addr: tcp})
}

type memoryAddr struct{}

func (memoryAddr) Network() string { return inMemory }
func (memoryAddr) String() string  { return inMemory }

func TestWhomACallIsCountedFor(t *testing.T) {
	forwarded := func(ctx context.Context, lines ...string) context.Context {
		return metadata.NewIncomingContext(ctx, metadata.MD{"x-forwarded-for": lines})
	}
	inside := peer.NewContext(t.Context(), &peer.Peer{Addr: memoryAddr{}})
	for _, c := range []struct {
		ctx  context.Context
		want string
	}{
		{from(t.Context(), "192.0.2.7:40000"), "192.0.2.7"},
		{from(t.Context(), "[2001:db8:1:2:3:4:5:6]:1"), "2001:db8:1:2::/64"},
		{from(t.Context(), "[::ffff:192.0.2.7]:1"), "192.0.2.7"},
		{forwarded(from(t.Context(), "192.0.2.7:40000"), "10.9.9.9"), "192.0.2.7"}, // only the gateway is believed
		{inside, ""},
		{forwarded(inside, "192.0.2.7"), "192.0.2.7"},
		{forwarded(inside, "10.9.9.9, 192.0.2.7"), "192.0.2.7"}, // what the caller wrote, then what the gateway did
		{forwarded(inside, "10.9.9.9", "10.8.8.8, 2001:db8::1"), "2001:db8::/64"},
		{t.Context(), ""},
	} {
		if got := addressOf(c.ctx); got != c.want {
			t.Errorf("counted for %q, want %q", got, c.want)
		}
	}
}

var gateKeyDead = fault.New(fault.Unauthenticated, "KEY_DEAD", "this key is dead")
