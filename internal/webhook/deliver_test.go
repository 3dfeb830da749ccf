package webhook_test

import (
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/rivertype"
	standard "github.com/standard-webhooks/standard-webhooks/libraries/go"
	"pgregory.net/rapid"

	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/jobs"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
	"wattle/internal/webhook"
)

const company = "harrow"

// hooked is a store with a webhook at an address, and a ping that is due.
type hooked struct {
	store  *postgres.Store
	keys   *webhook.Keyring
	secret string
	ping   estimating.Event
	worker *webhook.Worker
}

func newHooked(t *testing.T, url string, retry webhook.Retry) *hooked {
	t.Helper()
	store, db := storetest.NewWithDB(t)
	keys, err := webhook.ParseKeyring(webhook.NewKey())
	if err != nil {
		t.Fatal(err)
	}
	h := &hooked{store: store, keys: keys}
	var sealed []byte
	if h.secret, sealed, err = keys.NewSecret(company, "h"); err != nil {
		t.Fatal(err)
	}
	w := estimating.Webhook{Company: company, ID: "h", Office: book.MainOffice, URL: url}
	if _, _, err := store.CreateWebhook(storetest.Context(company), estimating.RequestKey{Company: company}, w, sealed); err != nil {
		t.Fatal(err)
	}
	if h.ping, err = store.PingWebhook(storetest.Context(company), estimating.RequestKey{Company: company}, "h"); err != nil {
		t.Fatal(err)
	}
	asWorker, err := postgres.Open(t.Context(), db.WorkerURL())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(asWorker.Close)
	targets := webhook.Targets{AllowHTTP: true, AllowPrivate: true}
	h.worker = webhook.NewWorker(asWorker, keys, webhook.NewSender(targets, time.Now), retry)
	return h
}

func (h *hooked) job(attempt int) *river.Job[jobs.Delivery] {
	now := time.Now()
	return &river.Job[jobs.Delivery]{
		JobRow: &rivertype.JobRow{Attempt: attempt, AttemptedAt: &now},
		Args:   jobs.Delivery{Company: company, Webhook: "h", Event: h.ping.ID},
	}
}

func (h *hooked) delivery(t *testing.T) estimating.Delivery {
	t.Helper()
	list, err := h.store.ListDeliveries(storetest.Context(company), estimating.DeliveryFilter{Company: company, Webhook: "h", Limit: 10})
	if err != nil || len(list) != 1 {
		t.Fatalf("deliveries %v, %v", list, err)
	}
	return list[0]
}

// A receiver that fails is tried as often as agreed, then the delivery is dead;
// replayed, the same event arrives, signed by both secrets while they overlap.
func TestDeadLetterAndReplay(t *testing.T) {
	t.Parallel()
	var healthy atomic.Bool
	var calls atomic.Int64
	var h *hooked
	second := make(chan string, 1)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		calls.Add(1)
		if r.Header.Get("webhook-id") != h.ping.ID {
			t.Errorf("id %s, want %s", r.Header.Get("webhook-id"), h.ping.ID)
		}
		if !healthy.Load() {
			w.WriteHeader(http.StatusServiceUnavailable)
			_, _ = io.WriteString(w, "a text that is kept nowhere")
			return
		}
		body, err := io.ReadAll(r.Body)
		if err != nil {
			t.Error(err)
		}
		for name, secret := range map[string]string{"old": h.secret, "new": <-second} {
			v, err := standard.NewWebhook(secret)
			if err != nil {
				t.Error(err)
				continue
			}
			if err := v.Verify(body, r.Header); err != nil {
				t.Errorf("%s secret: %v", name, err)
			}
		}
	}))
	defer server.Close()
	h = newHooked(t, server.URL, webhook.Retry{Tries: 3})
	for attempt := range 2 {
		if err := h.worker.Work(t.Context(), h.job(attempt+1)); err == nil {
			t.Error("a failure ended the job")
		}
	}
	if d := h.delivery(t); d.State != estimating.DeliveryFailed || len(d.Attempts) != 2 || d.Attempts[0].Status != 503 || d.Attempts[0].Reason != webhook.ReasonStatus {
		t.Errorf("after two: %+v", d)
	}
	if err := h.worker.Work(t.Context(), h.job(3)); err != nil {
		t.Errorf("the last failure: %v", err)
	}
	if d := h.delivery(t); d.State != estimating.DeliveryDead || len(d.Attempts) != 3 {
		t.Errorf("after three: %+v", d)
	}
	if err := h.worker.Work(t.Context(), h.job(4)); err != nil || calls.Load() != 3 {
		t.Errorf("dead, and tried again: %d calls, %v", calls.Load(), err)
	}

	healthy.Store(true)
	shown, sealed, err := h.keys.NewSecret(company, "h")
	if err != nil {
		t.Fatal(err)
	}
	second <- shown
	if _, _, err := h.store.RotateWebhookSecret(storetest.Context(company), estimating.RequestKey{Company: company}, "h", sealed, time.Hour); err != nil {
		t.Fatal(err)
	}
	if n, err := h.store.ReplayDeliveries(storetest.Context(company), estimating.RequestKey{Company: company}, estimating.Redelivery{Webhook: "h", Since: time.Unix(0, 0)}); err != nil || n != 1 {
		t.Fatalf("replayed %d, %v", n, err)
	}
	if err := h.worker.Work(t.Context(), h.job(1)); err != nil {
		t.Error(err)
	}
	if d := h.delivery(t); d.State != estimating.DeliveryDelivered || calls.Load() != 4 {
		t.Errorf("replayed: %+v after %d calls", d, calls.Load())
	}
}

// A worker that stops in the middle of a try does not count it against the
// receiver.
func TestAStopIsNoFailure(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(t.Context())
	stopped := make(chan struct{})
	server := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) {
		stop()
		<-stopped
	}))
	defer server.Close()
	defer close(stopped)
	h := newHooked(t, server.URL, webhook.Retry{Tries: 1})
	if err := h.worker.Work(ctx, h.job(1)); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
	if d := h.delivery(t); d.State != estimating.DeliveryPending {
		t.Errorf("after a stop: %+v", d)
	}
}

// Without the key nothing is sent, and nothing is given up.
func TestALostKey(t *testing.T) {
	t.Parallel()
	var calls atomic.Int64
	server := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { calls.Add(1) }))
	defer server.Close()
	h := newHooked(t, server.URL, webhook.Retry{})
	other, err := webhook.ParseKeyring(webhook.NewKey())
	if err != nil {
		t.Fatal(err)
	}
	targets := webhook.Targets{AllowHTTP: true, AllowPrivate: true}
	worker := webhook.NewWorker(h.store, other, webhook.NewSender(targets, time.Now), webhook.Retry{})
	if err := worker.Work(t.Context(), h.job(1)); err == nil || strings.Contains(err.Error(), h.secret) || calls.Load() != 0 {
		t.Errorf("%v after %d calls", err, calls.Load())
	}
	if d := h.delivery(t); d.State != estimating.DeliveryPending {
		t.Errorf("%+v", d)
	}
}

// However many failures, the wait is at least that of the failure before, within
// the chance, and at most the longest and half of it; it is counted from the
// database's time.
func TestWaits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := webhook.NewWorker(nil, nil, nil, webhook.Retry{})
		at := time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "time"), 0)
		n := rapid.IntRange(1, 1000).Draw(t, "attempt")
		wait := w.NextRetry(&river.Job[jobs.Delivery]{JobRow: &rivertype.JobRow{Attempt: n, AttemptedAt: &at}}).Sub(at) - 10*time.Second
		least := 5 * time.Second
		for range min(n-1, 10) {
			least = min(3*least, 6*time.Hour)
		}
		if wait < least || wait > least+least/2 {
			t.Fatalf("after %d: %v, want %v to %v", n, wait, least, least+least/2)
		}
	})
}
