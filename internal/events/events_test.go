package events_test

import (
	"context"
	"errors"
	"log/slog"
	"sync/atomic"
	"testing"
	"time"

	"github.com/riverqueue/river"
	"go.uber.org/goleak"

	"wattle/internal/estimating"
	"wattle/internal/events"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
	"wattle/internal/work"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

var discard = slog.New(slog.DiscardHandler)

// A watcher that would ask once an hour is woken by the bell: the worker that
// gives an event its place tells all processes of it.
func TestNewsWakesAWatcher(t *testing.T) {
	s, db := storetest.NewWithDB(t)
	storetest.FirstKey(t, s, "harrow")
	asWorker, err := postgres.Open(t.Context(), db.WorkerURL())
	if err != nil {
		t.Fatal(err)
	}
	defer asWorker.Close()
	ctx, stop := context.WithCancel(storetest.Context("harrow"))
	workers := river.NewWorkers()
	river.AddWorker(workers, events.NewWorker(asWorker))
	ended := make(chan error, 3)
	go func() {
		ended <- work.Run(ctx, asWorker.Queue(), work.Config{Workers: workers, Log: discard})
	}()
	bell := &events.Bell{}
	go func() {
		bell.Listen(ctx, s, discard)
		ended <- nil
	}()
	use := &estimating.Service{Events: s, News: bell}
	told := make(chan estimating.Event, 10)
	go func() {
		w := estimating.Watch{Filter: estimating.EventFilter{Company: "harrow"}, FromNow: true, Poll: time.Hour, Heartbeat: time.Hour}
		err := use.WatchEvents(ctx, w, func(list []estimating.Event, _ int64) error {
			if list == nil {
				told <- estimating.Event{} // the watch has begun
			}
			for _, e := range list {
				told <- e
			}
			return nil
		})
		if !errors.Is(err, context.Canceled) {
			t.Errorf("the watch ended with %v", err)
		}
		ended <- nil
	}()
	<-told
	hook := estimating.Webhook{Company: "harrow", ID: "h", Office: "main", URL: "https://crm.example.com/"}
	if _, _, err := s.CreateWebhook(ctx, estimating.RequestKey{Company: "harrow"}, hook, []byte("x")); err != nil {
		t.Fatal(err)
	}
	saved := estimating.SavedSpec{Company: "harrow", Office: "main", CreatedAt: time.Unix(0, 0), Withdrawn: true}
	saved.Name = "cedar"
	if _, _, err := s.SaveSpec(ctx, estimating.RequestKey{Company: "harrow"}, saved); err != nil {
		t.Fatal(err)
	}
	select {
	case e := <-told:
		if e.Type != estimating.SpecWithdrawn && e.Type != estimating.SpecSaved || e.Position != 1 {
			t.Errorf("told %+v", e)
		}
	case <-time.After(time.Minute):
		t.Error("not told within a minute")
	}
	for start := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		list, err := s.ListDeliveries(ctx, estimating.DeliveryFilter{Company: "harrow", Webhook: "h", Limit: 10})
		if err != nil {
			t.Fatal(err)
		}
		if len(list) == 1 {
			break
		}
		if time.Since(start) > time.Minute {
			t.Error("the webhook has no delivery")
			break
		}
	}
	stop()
	for range 3 {
		if err := <-ended; err != nil {
			t.Error(err)
		}
	}
}

// deaf fails to listen.
type deaf struct{ tries atomic.Int64 }

func (d *deaf) ListenEvents(context.Context, func(string)) error {
	d.tries.Add(1)
	return errors.New("no connection")
}

// Ringing wakes the watchers of one company, once for any number of rings, and
// nobody who has left.
func TestBell(t *testing.T) {
	var b events.Bell
	first, leave := b.Subscribe("harrow")
	second, _ := b.Subscribe("harrow")
	other, _ := b.Subscribe("larch")
	leave()
	b.Ring("harrow")
	b.Ring("harrow")
	b.Ring("nobody")
	for name, c := range map[string]struct {
		rung <-chan struct{}
		want int
	}{"left": {first, 0}, "stayed": {second, 1}, "other": {other, 0}} {
		if got := len(c.rung); got != c.want {
			t.Errorf("%s: rung %d times, want %d", name, got, c.want)
		}
	}
	ctx, stop := context.WithCancel(t.Context())
	l := &deaf{}
	done := make(chan struct{})
	go func() { b.Listen(ctx, l, discard); close(done) }()
	for l.tries.Load() < 2 {
		time.Sleep(10 * time.Millisecond)
	}
	stop()
	<-done
}

// In quiet times a watch says its token again and again; it ends by itself.
func TestHeartbeats(t *testing.T) {
	s := storetest.New(t)
	storetest.FirstKey(t, s, "harrow")
	use := &estimating.Service{Events: s}
	w := estimating.Watch{Filter: estimating.EventFilter{Company: "harrow"}, Heartbeat: 10 * time.Millisecond, End: 300 * time.Millisecond}
	beats := 0
	err := use.WatchEvents(storetest.Context("harrow"), w, func(list []estimating.Event, token int64) error {
		if beats++; list != nil || token != 0 {
			t.Errorf("told %v at %d", list, token)
		}
		return nil
	})
	if err != nil || beats < 4 {
		t.Errorf("%d heartbeats, %v", beats, err)
	}
	gone := errors.New("the caller has gone")
	if err := use.WatchEvents(storetest.Context("harrow"), w, func([]estimating.Event, int64) error { return gone }); !errors.Is(err, gone) {
		t.Errorf("a caller who has gone: %v", err)
	}
}
