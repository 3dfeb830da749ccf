package postgres_test

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/postgres"
	"wattle/internal/postgres/pgtest"
	"wattle/internal/postgres/storetest"
)

func hook(id string, types ...string) estimating.Webhook {
	return estimating.Webhook{Company: company, ID: id, Office: book.MainOffice, URL: "https://crm.example.com/hook", Types: types}
}

func mustHook(t *testing.T, s *postgres.Store, w estimating.Webhook) {
	t.Helper()
	storetest.FirstKey(t, s, company)
	if _, made, err := s.CreateWebhook(scoped(), key("CreateWebhook", w.ID, w.ID), w, []byte("first")); err != nil || !made {
		t.Fatalf("create %s: %v, %v", w.ID, made, err)
	}
}

// jobsFor is the ids of the jobs of a kind that wait.
func jobsFor(t *testing.T, db *pgtest.DB, kind string) (args []map[string]string) {
	t.Helper()
	rows, err := connect(t, db.AdminURL()).Query(context.Background(), `select args from river_job where kind = $1 and state = 'available' order by id`, kind)
	if err != nil {
		t.Fatal(err)
	}
	args, err = pgx.CollectRows(rows, pgx.RowTo[map[string]string])
	if err != nil {
		t.Fatal(err)
	}
	return args
}

func state(t *testing.T, s *postgres.Store, webhook, event string) estimating.DeliveryState {
	t.Helper()
	list, err := s.ListDeliveries(scoped(), estimating.DeliveryFilter{Company: company, Webhook: webhook, Limit: 100})
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range list {
		if d.Event.ID == event {
			return d.State
		}
	}
	return "none"
}

// An event goes to each webhook that asked for its type, once, whoever
// distributes it how often. Workers do this as their own role.
func TestDistribute(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	worker := openWorker(t, db)
	ctx := scoped()
	mustHook(t, s, hook("all"))
	mustHook(t, s, hook("prices", "prices.imported"))
	mustHook(t, s, hook("quotes", "quote.created"))
	mustHook(t, s, hook("gone"))
	if _, err := s.SetWebhookState(ctx, key("DeleteWebhook", "d", ""), "gone", estimating.WebhookDeleted); err != nil {
		t.Fatal(err)
	}
	mustImport(t, s, "one", list(t, book.Patch, "post 2026-01-01 10.00"))
	waiting := jobsFor(t, db, "event")
	if len(waiting) != 1 {
		t.Fatalf("jobs %v", waiting)
	}
	event := waiting[0]["event"]
	atOnce(t, 4, func() error {
		if err := worker.PositionEvents(ctx, company); err != nil {
			return err
		}
		return worker.Distribute(ctx, company, event)
	})
	var got []string
	for _, a := range jobsFor(t, db, "webhook_delivery") {
		if a["company"] != company || a["event"] != event || len(a) != 3 {
			t.Errorf("job %v", a)
		}
		got = append(got, a["webhook"])
	}
	slices.Sort(got)
	if !slices.Equal(got, []string{"all", "prices"}) {
		t.Errorf("delivered to %q", got)
	}
	if err := worker.Distribute(ctx, company, "018f0000-0000-7000-8000-000000000000"); fault.KindOf(err) != fault.NotFound {
		t.Errorf("an unknown event: %v", err)
	}
}

func openWorker(t *testing.T, db *pgtest.DB) *postgres.Store {
	t.Helper()
	worker, err := postgres.Open(context.Background(), db.WorkerURL())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(worker.Close)
	return worker
}

// A delivery from its first failure to its death, its replay and its arrival.
func TestALifeOfADelivery(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	worker := openWorker(t, db)
	ctx := scoped()
	mustHook(t, s, hook("h"))
	ping, err := s.PingWebhook(ctx, key("PingWebhook", "p", ""), "h")
	if err != nil {
		t.Fatal(err)
	}
	if again, err := s.PingWebhook(ctx, key("PingWebhook", "p", ""), "h"); err != nil || again.ID != ping.ID || again.Sequence != 1 {
		t.Errorf("the same ping again: %+v, %v", again, err)
	}
	try := func(outcome string, failures int) {
		t.Helper()
		d, due, err := worker.Delivery(ctx, company, "h", ping.ID)
		if err != nil || !due || d.Failures != failures || d.Event.Type != estimating.WebhookPinged || d.Webhook.URL == "" || string(d.Sealed[0]) != "first" {
			t.Fatalf("delivery %+v, due %v, %v; want %d failures", d, due, err, failures)
		}
		if err := worker.RecordAttempt(ctx, company, "h", ping.ID, estimating.Attempt{Outcome: outcome, Status: 500, Reason: "STATUS", Took: time.Second}); err != nil {
			t.Fatal(err)
		}
	}
	notDue := func(why string) {
		t.Helper()
		if _, due, err := worker.Delivery(ctx, company, "h", ping.ID); err != nil || due {
			t.Errorf("%s: due %v, %v", why, due, err)
		}
	}
	replay := func(id string, r estimating.Redelivery, want int) {
		t.Helper()
		r.Webhook = "h"
		for range 2 { // the same request twice is one replay
			if n, err := s.ReplayDeliveries(ctx, key("Replay", id, ""), r); err != nil || n != want {
				t.Fatalf("replay %s: %d, %v; want %d", id, n, err, want)
			}
		}
	}
	wantState := func(want estimating.DeliveryState) {
		t.Helper()
		if got := state(t, s, "h", ping.ID); got != want {
			t.Errorf("state %s, want %s", got, want)
		}
	}
	wantState(estimating.DeliveryPending)
	try(estimating.Failed, 0)
	wantState(estimating.DeliveryFailed)
	try(estimating.Dead, 1)
	wantState(estimating.DeliveryDead)
	notDue("dead")
	replay("future", estimating.Redelivery{Since: time.Now().Add(time.Hour)}, 0)
	replay("all", estimating.Redelivery{Since: time.Now().Add(-time.Hour)}, 1)
	wantState(estimating.DeliveryPending)
	try(estimating.Failed, 0) // counted anew
	try(estimating.Delivered, 1)
	wantState(estimating.DeliveryDelivered)
	notDue("delivered")
	replay("none dead", estimating.Redelivery{Since: time.Now().Add(-time.Hour)}, 0)
	replay("this", estimating.Redelivery{Event: ping.ID}, 1)
	try(estimating.Delivered, 0)
	if n := len(jobsFor(t, db, "webhook_delivery")); n != 3 {
		t.Errorf("%d jobs, want that of the ping and of two replays", n)
	}
	deliveries, err := s.ListDeliveries(ctx, estimating.DeliveryFilter{Company: company, Webhook: "h", State: estimating.DeliveryDelivered, Limit: 10})
	if err != nil || len(deliveries) != 1 || len(deliveries[0].Attempts) != 7 || deliveries[0].Attempts[1].Outcome != estimating.Dead || deliveries[0].Attempts[0].Took != time.Second {
		t.Errorf("log %+v, %v", deliveries, err)
	}
	_, err = s.ReplayDeliveries(ctx, key("Replay", "unknown", ""), estimating.Redelivery{Webhook: "h", Event: "018f0000-0000-7000-8000-000000000000"})
	wantFault(t, err, fault.NotFound, "DELIVERY_NOT_FOUND")
}

// While a webhook is paused its deliveries wait, also those whose job was worked
// off meanwhile; taken up again, each has a job.
func TestPauseHoldsBack(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	worker := openWorker(t, db)
	ctx := scoped()
	mustHook(t, s, hook("h"))
	setState := func(id string, state estimating.WebhookState) {
		t.Helper()
		if w, err := s.SetWebhookState(ctx, key("Set", id, ""), "h", state); err != nil || w.State != state {
			t.Fatalf("%s: %v, %v", state, w.State, err)
		}
	}
	setState("1", estimating.WebhookPaused)
	mustImport(t, s, "one", list(t, book.Patch, "post 2026-01-01 10.00"))
	event := jobsFor(t, db, "event")[0]["event"]
	if err := worker.Distribute(ctx, company, event); err != nil {
		t.Fatal(err)
	}
	if _, due, err := worker.Delivery(ctx, company, "h", event); err != nil || due {
		t.Errorf("paused, and due %v, %v", due, err)
	}
	ping, err := s.PingWebhook(ctx, key("PingWebhook", "p", ""), "h")
	if err != nil {
		t.Fatal(err)
	}
	if _, due, err := worker.Delivery(ctx, company, "h", ping.ID); err != nil || !due {
		t.Errorf("a ping to a paused webhook: due %v, %v", due, err)
	}
	if err := worker.RecordAttempt(ctx, company, "h", ping.ID, estimating.Attempt{Outcome: estimating.Delivered}); err != nil {
		t.Fatal(err)
	}
	before := len(jobsFor(t, db, "webhook_delivery"))
	setState("2", estimating.WebhookActive)
	setState("2", estimating.WebhookActive) // the same request again
	if after := jobsFor(t, db, "webhook_delivery"); len(after) != before+1 || after[before]["event"] != event {
		t.Errorf("jobs after taking up: %v, before %d", after, before)
	}
	if _, due, err := worker.Delivery(ctx, company, "h", event); err != nil || !due {
		t.Errorf("active, and due %v, %v", due, err)
	}
	setState("3", estimating.WebhookDeleted)
	if _, due, err := worker.Delivery(ctx, company, "h", event); err != nil || due {
		t.Errorf("deleted, and due %v, %v", due, err)
	}
	_, err = s.Webhook(ctx, company, "h")
	wantFault(t, err, fault.NotFound, "WEBHOOK_NOT_FOUND")
	var secrets int
	if err := connect(t, db.AdminURL()).QueryRow(ctx, `select count(*) from webhook_secret`).Scan(&secrets); err != nil || secrets != 0 {
		t.Errorf("%d secrets are left, %v", secrets, err)
	}
}

// A rotated secret signs beside the new one until its overlap is over.
func TestRotation(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	worker := openWorker(t, db)
	ctx := scoped()
	mustHook(t, s, hook("h"))
	ping, err := s.PingWebhook(ctx, key("PingWebhook", "p", ""), "h")
	if err != nil {
		t.Fatal(err)
	}
	sealed := func() (all []string) {
		d, _, err := worker.Delivery(ctx, company, "h", ping.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range d.Sealed {
			all = append(all, string(s))
		}
		return all
	}
	for i, c := range []struct {
		secret  string
		overlap time.Duration
		want    []string
	}{
		{"second", time.Hour, []string{"second", "first"}},
		{"third", time.Hour, []string{"third", "second", "first"}},
		{"fourth", 0, []string{"fourth", "second", "first"}}, // at once, of the third alone
	} {
		for j := range 2 { // the same request again makes no other secret
			_, made, err := s.RotateWebhookSecret(ctx, key("Rotate", fmt.Sprint(i), ""), "h", []byte(c.secret), c.overlap)
			if err != nil || made != (j == 0) {
				t.Fatalf("%s: made %v, %v", c.secret, made, err)
			}
		}
		if got := sealed(); !slices.Equal(got, c.want) {
			t.Errorf("after %s: %q, want %q", c.secret, got, c.want)
		}
	}
	admin := connect(t, db.AdminURL())
	if _, err := admin.Exec(ctx, `update webhook_secret set created_at = created_at - interval '2 hours'`); err != nil {
		t.Fatal(err)
	}
	if got := sealed(); !slices.Equal(got, []string{"fourth"}) {
		t.Errorf("after the overlap: %q", got)
	}
}

func TestWebhooksAreLimited(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx := scoped()
	for i := range 100 {
		mustHook(t, s, hook(fmt.Sprintf("h%02d", i)))
	}
	_, _, err := s.CreateWebhook(ctx, key("CreateWebhook", "one more", ""), hook("h100"), []byte("x"))
	wantFault(t, err, fault.Refused, "WEBHOOKS_TOO_MANY")
	page, err := s.ListWebhooks(ctx, estimating.WebhookFilter{Company: company, After: "h97", Limit: 10})
	if err != nil || len(page) != 2 || page[0].ID != "h98" {
		t.Errorf("page %+v, %v", page, err)
	}
	again, made, err := s.CreateWebhook(ctx, key("CreateWebhook", "h07", "h07"), hook("other"), []byte("y"))
	if err != nil || made || again.ID != "h07" {
		t.Errorf("the same request again: %+v, %v, %v", again, made, err)
	}
	_, _, err = s.CreateWebhook(ctx, key("CreateWebhook", "h07", "another"), hook("other"), []byte("y"))
	wantFault(t, err, fault.AlreadyExists, "REQUEST_ID_REUSED")
}
