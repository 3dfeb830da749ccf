package rpc

import (
	"context"
	"errors"
	"math/rand/v2"
	"runtime/metrics"
	"strings"
	"sync/atomic"
	"time"

	middleware "github.com/grpc-ecosystem/go-grpc-middleware/v2"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/admission"
	"wattle/internal/auth"
	"wattle/internal/fault"
)

// door lets calls in before anything of them is read, and sends away those that
// come too often or find the service full. Whom it sends away is told when to come
// back, and may: nothing was done yet.
type door struct {
	rates   *rates
	keyless bool // there are no keys, so nobody is a stranger
	reading time.Duration
	memory  *memory

	calls, bulk, watchers, strangers, probes, longProbes *admission.Places

	work *admission.Slots
}

func newDoor(l Limits, access Access) *door {
	rates := newRates(l.Keys, l.Addresses)
	if access.Operator != ([32]byte{}) {
		rates.know(access.Operator, operator)
	}
	return &door{
		rates: rates, keyless: access.Nobody,
		reading: l.Reading, memory: &memory{most: l.Memory},
		calls: admission.NewPlaces(l.Calls), bulk: admission.NewPlaces(l.Bulk), watchers: admission.NewPlaces(l.Watchers),
		strangers: admission.NewPlaces(l.Strangers), probes: admission.NewPlaces(l.Probes), longProbes: admission.NewPlaces(l.Probes),
		work: admission.NewSlots(l.Work, l.Patience),
	}
}

// visit is a call that was let in.
type visit struct {
	door   *door
	places *admission.Places // where it belongs once its key is known
	held   *admission.Places // where it is
	holder string
	hash   [32]byte
	showed bool // a key
}

type visitKey struct{}

// enter lets a call in; its visit is left by leave. What follows may hold the
// caller's key against the store and settles the visit by what that says.
func (d *door) enter(ctx context.Context, method string, stream bool) (context.Context, *visit, error) {
	v := &visit{door: d, places: d.placesFor(method, stream)}
	probe := strings.HasPrefix(method, openMethods)
	if !probe && d.memory.short() {
		return ctx, nil, refuse("MEMORY_SHORT", spread(time.Second), "the service is short of memory; try again")
	}
	var known *acquaintance
	if secret, err := secretOf(ctx); err == nil {
		v.hash, v.showed = auth.Hash(secret), true
		known, _ = d.rates.known(v.hash)
	}
	v.held = v.places
	switch {
	case probe:
		v.holder = addressOf(ctx)
	case d.keyless:
	case known != nil:
		v.holder = holderOf(known.caller)
		if wait := spend(known.bucket); wait > 0 {
			return ctx, nil, tooOften("RATE_LIMITED", wait, v.holder, "this key calls too often")
		}
	default:
		v.held, v.holder = d.strangers, addressOf(ctx)
		if wait := d.rates.stranger(v.holder); wait > 0 {
			return ctx, nil, tooOften("ADDRESS_RATE_LIMITED", wait, v.holder, "too many calls from this address whose key is not known to be good")
		}
	}
	if !v.held.Take(v.holder) {
		return ctx, nil, full(v.held)
	}
	return context.WithValue(ctx, visitKey{}, v), v, nil
}

func (d *door) placesFor(method string, stream bool) *admission.Places {
	switch {
	case strings.HasPrefix(method, openMethods) && stream:
		return d.longProbes
	case strings.HasPrefix(method, openMethods):
		return d.probes
	case method == wattlev1.EventService_WatchEvents_FullMethodName:
		return d.watchers
	case stream || long[method] || heavy[method]:
		return d.bulk
	default:
		return d.calls
	}
}

// heavy are calls that may work for seconds: they take no slots from others.
var heavy = map[string]bool{
	wattlev1.AdviceService_Advise_FullMethodName:         true,
	wattlev1.AdviceService_CompareOptions_FullMethodName: true,
}

// settle is told whose key a call showed, or why it is nobody's. A caller who
// was a stranger until then moves over to where his call belongs.
func settle(ctx context.Context, caller auth.Caller, err error) error {
	v, ok := ctx.Value(visitKey{}).(*visit)
	if !ok || !v.showed {
		return err
	}
	if err != nil {
		if fault.KindOf(err) == fault.Unauthenticated {
			v.door.rates.forget(v.hash)
		}
		return err
	}
	v.door.rates.know(v.hash, caller)
	if v.held == v.places {
		return nil
	}
	holder := holderOf(caller)
	if !v.places.Take(holder) {
		return full(v.places)
	}
	v.held.Leave(v.holder)
	v.held, v.holder = v.places, holder
	return nil
}

func holderOf(c auth.Caller) string { return c.Company + "/" + c.Principal }

func (v *visit) leave() { v.held.Leave(v.holder) }

// tooOften refuses a call since its caller makes too many, full and refuse since
// all together do. The log is told who it was.
func tooOften(reason string, wait time.Duration, who, message string) error {
	return later{fault.Wrap(errors.New("a call of "+who), fault.Exhausted, reason, "%s; try again in %s", message, max(wait, time.Millisecond).Round(time.Millisecond)), wait}
}

func full(p *admission.Places) error {
	return refuse("TOO_MANY_CALLS", spread(time.Second), "%d calls of this kind are open already; try again", p.Most())
}

func refuse(reason string, wait time.Duration, format string, args ...any) error {
	return later{fault.New(fault.Unavailable, reason, format, args...), wait}
}

// spread is a time about d, so that those who were sent away together do not
// come back together.
func spread(d time.Duration) time.Duration { return d/2 + rand.N(d) } //nolint:gosec // nobody gains by guessing it

// later is an error after which the same call may be made again.
type later struct {
	error
	after time.Duration
}

func (l later) Unwrap() error { return l.error }

// stream is the door for streams; unary calls come through registrar.
func (d *door) stream(srv any, s grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	ctx, v, err := d.enter(s.Context(), info.FullMethod, true)
	if err != nil {
		return err
	}
	defer v.leave()
	wrapped := middleware.WrapServerStream(s)
	wrapped.WrappedContext = ctx
	return next(srv, wrapped)
}

// unary waits for a slot to work in. It stands before the gate, since to find
// out who calls is work too. Long calls have their places, and no slot.
func (d *door) unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	if info == nil || d.placesFor(info.FullMethod, false) != d.calls {
		return next(ctx, req)
	}
	if err := d.work.Take(ctx); err != nil {
		if errors.Is(err, admission.ErrBusy) {
			err = refuse("OVERLOADED", spread(time.Second), "the service has more calls than it can answer; try again")
		}
		return nil, err
	}
	defer d.work.Leave()
	return next(ctx, req)
}

// inTime gives up a message that does not come whole in time, whatever the
// caller's own deadline. The one who still reads then ends when the handler has
// returned, which ends the stream.
func inTime(decode func(any) error, limit time.Duration, message any) error {
	if limit == 0 {
		return decode(message)
	}
	received := make(chan error, 1)
	go func() { received <- decode(message) }()
	timer := time.NewTimer(limit)
	defer timer.Stop()
	select {
	case err := <-received:
		return err
	case <-timer.C:
		return fault.New(fault.DeadlineExceeded, "MESSAGE_TOO_SLOW", "the message did not come whole within %s", limit)
	}
}

// memory is whether what is live passes a limit, looked at every now and then.
type memory struct {
	most   int64
	next   atomic.Int64 // when to look again, in nanoseconds of Unix time
	passed atomic.Bool
}

const memoryEvery = 100 * time.Millisecond

func (m *memory) short() bool {
	if m.most == 0 {
		return false
	}
	now, next := time.Now().UnixNano(), m.next.Load()
	if now >= next && m.next.CompareAndSwap(next, now+int64(memoryEvery)) {
		live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
		metrics.Read(live)
		m.passed.Store(live[0].Value.Kind() == metrics.KindUint64 && live[0].Value.Uint64() > uint64(m.most))
	}
	return m.passed.Load()
}
