package rpc

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/estimating"
)

// Where all slots are taken, a call waits a little, is told to come back, and
// was not begun.
func TestWorkIsLimited(t *testing.T) {
	d := newDoor(Limits{Work: 1, Patience: 20 * time.Millisecond}, Access{Nobody: true})
	info := &grpc.UnaryServerInfo{FullMethod: wattlev1.LayoutService_PlanLayout_FullMethodName}
	inside, release := make(chan struct{}), make(chan struct{})
	first := make(chan error, 1)
	go func() {
		_, err := d.unary(t.Context(), nil, info, func(context.Context, any) (any, error) {
			close(inside)
			<-release
			return nil, nil
		})
		first <- err
	}()
	<-inside
	_, err := d.unary(t.Context(), nil, info, func(context.Context, any) (any, error) {
		t.Error("a call without a slot was worked on")
		return nil, nil
	})
	st := wants(t, statusOf(err, "id").Err(), codes.Unavailable, "OVERLOADED")
	if wait := detail[*errdetails.RetryInfo](st).GetRetryDelay().AsDuration(); wait < 500*time.Millisecond || wait >= 1500*time.Millisecond {
		t.Errorf("come back in %v", wait)
	}
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := d.unary(ended, nil, info, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("who went away is told %v", err)
	}
	probe := &grpc.UnaryServerInfo{FullMethod: healthv1.Health_Check_FullMethodName}
	if _, err := d.unary(t.Context(), nil, probe, func(context.Context, any) (any, error) { return nil, nil }); err != nil {
		t.Errorf("health needs a slot: %v", err)
	}
	close(release)
	if err := <-first; err != nil {
		t.Error(err)
	}
	if _, err := d.unary(t.Context(), nil, info, func(context.Context, any) (any, error) { return nil, nil }); err != nil {
		t.Errorf("after it: %v", err)
	}
}

// Calls that are open have places by what they are; strangers have their own,
// half of them for one address, and move over once their key is known.
func TestPlacesByKind(t *testing.T) {
	d := newDoor(Limits{Calls: 2, Bulk: 2, Watchers: 2, Strangers: 2, Probes: 2}, Access{})
	enter := func(secret, address, method string, stream bool) (context.Context, *visit, error) {
		ctx := from(t.Context(), address)
		if secret != "" {
			ctx = metadata.NewIncomingContext(ctx, metadata.Pairs("authorization", "Bearer "+secret))
		}
		return d.enter(ctx, method, stream)
	}
	const list, imports = wattlev1.QuoteService_ListQuotes_FullMethodName, wattlev1.PriceBookService_ImportPrices_FullMethodName
	ctx, first, err := enter("x", "10.0.0.1:1", list, false)
	if err != nil || d.strangers.Taken() != 1 {
		t.Fatal(err)
	}
	_, _, err = enter("", "10.0.0.1:1", list, false)
	wants(t, statusOf(err, "id").Err(), codes.Unavailable, "TOO_MANY_CALLS")
	_, second, err := enter("", "10.0.0.2:1", list, false)
	if err != nil {
		t.Errorf("another address: %v", err)
	}
	if err := settle(ctx, auth.Caller{Company: "harrow", Principal: "k"}, nil); err != nil || d.strangers.Taken() != 1 || d.calls.Taken() != 1 {
		t.Errorf("%v, %d strangers, %d calls", err, d.strangers.Taken(), d.calls.Taken())
	}
	if _, _, err := enter("x", "10.0.0.1:1", list, false); err == nil {
		t.Error("one key has more than half")
	}
	_, third, err := enter("x", "10.0.0.1:1", imports, true)
	if err != nil || d.bulk.Taken() != 1 {
		t.Errorf("an import while calls are many: %v", err)
	}
	_, fourth, err := enter("", "10.0.0.1:1", healthv1.Health_Check_FullMethodName, false)
	if err != nil || d.probes.Taken() != 1 {
		t.Errorf("a probe: %v", err)
	}
	for _, v := range []*visit{first, second, third, fourth} {
		v.leave()
	}
	if n := d.strangers.Taken() + d.calls.Taken() + d.bulk.Taken() + d.probes.Taken(); n != 0 {
		t.Errorf("%d places are not given back", n)
	}
}

// The class of every method is the one it is meant to have.
func TestEveryMethodHasItsPlaces(t *testing.T) {
	server, err := NewServer(&estimating.Service{}, Config{Access: Access{Nobody: true}, Log: discard})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(server.grpc.Stop)
	d := newDoor(Limits{}, Access{})
	var bulk, watch []string
	for service, info := range server.grpc.GetServiceInfo() {
		for _, m := range info.Methods {
			name := "/" + service + "/" + m.Name
			places := d.placesFor(name, m.IsClientStream || m.IsServerStream)
			switch {
			case strings.HasPrefix(name, openMethods) != (places == d.probes || places == d.longProbes):
				t.Errorf("%s has other places", name)
			case places == d.bulk:
				bulk = append(bulk, m.Name)
			case places == d.watchers:
				watch = append(watch, m.Name)
			}
		}
	}
	if len(bulk) != 7 || fmt.Sprint(watch) != "[WatchEvents]" {
		t.Errorf("bulk %v, watch %v", bulk, watch)
	}
}

// Over memory's limit nobody is let in, but who asks how the service is.
func TestShortOfMemory(t *testing.T) {
	runtime.GC() // before which nothing is known to be live
	conn := dialTCP(t, onTCP(t, &estimating.Service{}, Config{Limits: Limits{Memory: 1}}))
	_, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), yard())
	wants(t, err, codes.Unavailable, "MEMORY_SHORT")
	_, err = wattlev1.NewLayoutServiceClient(conn).StreamLayout(t.Context(), &wattlev1.StreamLayoutRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := healthv1.NewHealthClient(conn).Check(t.Context(), &healthv1.HealthCheckRequest{}); err != nil {
		t.Error(err)
	}
}

// What cannot be taken in is refused and logged, as the caller's affair.
func TestUnreadableMessages(t *testing.T) {
	log := &logBuffer{}
	conn := dialTCP(t, onTCP(t, &estimating.Service{}, Config{MaxRequest: 1000, Log: logTo(log)}))
	_, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), &wattlev1.PlanLayoutRequest{Spec: &wattlev1.Spec{Name: strings.Repeat("x", 2000)}})
	if status.Code(err) != codes.ResourceExhausted {
		t.Errorf("a large message: %v", err)
	}
	garbage, answer := []byte{0xff, 0xff, 0xff}, []byte(nil)
	if err := conn.Invoke(t.Context(), wattlev1.LayoutService_PlanLayout_FullMethodName, garbage, &answer, grpc.ForceCodecV2(rawCodec{})); status.Code(err) != codes.InvalidArgument {
		t.Errorf("garbage: %v", err)
	}
	both := func(said string) bool {
		return strings.Contains(said, `"code":"ResourceExhausted"`) && strings.Contains(said, "MESSAGE_UNREADABLE")
	}
	for range 200 { // the answers come before the lines
		if both(log.String()) {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	if said := log.String(); !both(said) || strings.Contains(said, `"level":"ERROR"`) {
		t.Errorf("the log says\n%s", said)
	}
}

// The log has some of many refusals, and how many more there were.
func TestRefusalsDoNotFloodTheLog(t *testing.T) {
	log := &logBuffer{}
	address := onTCP(t, &estimating.Service{}, Config{Limits: Limits{Memory: 1}, Log: logTo(log)})
	runtime.GC()
	conn := dialTCP(t, address)
	for range 200 {
		_, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), yard())
		if status.Code(err) != codes.Unavailable {
			t.Fatal(err)
		}
	}
	if n := strings.Count(log.String(), "MEMORY_SHORT"); n < 1 || n > 100 {
		t.Errorf("%d lines of 200 refusals", n)
	}
}

// A caller's own deadline counts up to an hour.
func TestNoCallIsForEver(t *testing.T) {
	for _, c := range []struct {
		own, want time.Duration
		less      bool
	}{{0, time.Minute, true}, {time.Second, longest, false}, {59 * time.Minute, longest, false}, {1000 * time.Hour, longest, true}} {
		ctx := t.Context()
		if c.own > 0 {
			var cancel context.CancelFunc
			ctx, cancel = context.WithTimeout(ctx, c.own)
			t.Cleanup(cancel)
		}
		if got, less := within(ctx, time.Minute); less != c.less || less && got != c.want {
			t.Errorf("of %v it has %v, %v", c.own, got, less)
		}
	}
}
