package postgres_test

import (
	"fmt"
	"testing"
	"time"

	"wattle/internal/auth"
	"wattle/internal/book"
	"wattle/internal/correlate"
	"wattle/internal/estimating"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// How much waits is told over all companies, in numbers, to the service and to
// the worker alike; what waits is told to neither.
func TestBacklog(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	worker := openWorker(t, db)
	admin := connect(t, db.AdminURL())
	change := func(sql string, args ...any) {
		t.Helper()
		if _, err := admin.Exec(t.Context(), sql, args...); err != nil {
			t.Fatal(err)
		}
	}
	backlog := func() map[string]string {
		t.Helper()
		var told [2]map[string]string
		for i, store := range []*postgres.Store{s, worker} {
			all, err := store.Backlog(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			told[i] = make(map[string]string)
			for _, b := range all {
				age := time.Duration(b.OldestSeconds * float64(time.Second)).Round(time.Minute)
				told[i][b.What+" "+b.Part] = fmt.Sprintf("%d %s", b.Waiting, age)
			}
		}
		if fmt.Sprint(told[0]) != fmt.Sprint(told[1]) {
			t.Errorf("the service is told %v, the worker %v", told[0], told[1])
		}
		return told[0]
	}
	expect := func(when string, want map[string]string) {
		t.Helper()
		got := backlog()
		for name, none := range map[string]string{
			"jobs default": "0 0s", "jobs events": "0 0s", "jobs webhooks": "0 0s", "jobs impacts": "0 0s",
			"events ": "0 0s", "deliveries waiting": "0 0s", "deliveries dead": "0 0s", "imports ": "0 0s",
		} {
			if w := want[name]; w != "" {
				none = w
			}
			if got[name] != none {
				t.Errorf("%s: %q is %s, want %s", when, name, got[name], none)
			}
		}
		if len(got) != 8 {
			t.Errorf("%s: %v", when, got)
		}
	}
	expect("at first", nil)

	// Two companies, an event each, whose delivery does not arrive.
	var pings []estimating.Event
	for _, c := range []string{company, "larch"} {
		storetest.FirstKey(t, s, c)
		ctx, w := storetest.Context(c), hook("all", "quote.created")
		w.Company = c
		if _, _, err := s.CreateWebhook(ctx, estimating.RequestKey{Company: c}, w, []byte("first")); err != nil {
			t.Fatal(err)
		}
		ping, err := s.PingWebhook(ctx, estimating.RequestKey{Company: c}, "all")
		if err != nil {
			t.Fatal(err)
		}
		pings = append(pings, ping)
	}
	change(`update river_job set scheduled_at = now() - interval '7 minutes', created_at = now() - interval '9 minutes'`)
	change(`update event set created_at = now() - interval '5 minutes'`)
	waits := map[string]string{"jobs webhooks": "2 7m0s", "events ": "2 5m0s", "deliveries waiting": "2 9m0s"}
	expect("with two pings", waits)

	// A job that is to be tried later does not wait, its delivery does; once its
	// time has come it waits, whether or not anybody works.
	change(`update river_job set state = 'retryable', scheduled_at = now() + interval '1 hour' where args->>'company' = 'larch'`)
	waits["jobs webhooks"] = "1 7m0s"
	expect("with one put off", waits)
	change(`update river_job set scheduled_at = now() - interval '20 minutes' where state = 'retryable'`)
	waits["jobs webhooks"] = "2 20m0s"
	expect("when its time has come", waits)

	if err := worker.PositionEvents(storetest.Context(company), company); err != nil {
		t.Fatal(err)
	}
	waits["events "] = "1 5m0s"
	expect("with one event placed", waits)

	// Dead is what was given up lately and not asked for again.
	change(`delete from river_job`)
	delete(waits, "jobs webhooks")
	delete(waits, "deliveries waiting")
	for i, c := range []string{company, "larch"} {
		if err := worker.RecordAttempt(storetest.Context(c), c, "all", pings[i].ID, estimating.Attempt{Outcome: estimating.Dead}); err != nil {
			t.Fatal(err)
		}
	}
	waits["deliveries dead"] = "2 0s"
	expect("with two dead", waits)
	if err := worker.RecordAttempt(storetest.Context(company), company, "all", pings[0].ID, estimating.Attempt{Outcome: estimating.Replayed}); err != nil {
		t.Fatal(err)
	}
	waits["deliveries dead"] = "1 0s"
	expect("with one asked for again", waits)
	change(`update webhook_attempt set at = now() - interval '25 hours' where outcome = 'dead'`)
	delete(waits, "deliveries dead")
	expect("a day later", waits)

	u := estimating.Upload{ID: "01a0", Import: book.Import{Company: company, Office: book.MainOffice, Mode: book.Patch}}
	if _, err := s.StartUpload(scoped(), key("StartImport", "up", "up"), u); err != nil {
		t.Fatal(err)
	}
	change(`update price_import set started_at = now() - interval '3 hours'`)
	waits["imports "] = "1 3h0m0s"
	expect("with an import in parts", waits)
}

// A job says which request left it behind.
func TestJobsKeepTheRequestsName(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	mustHook(t, s, hook("all"))
	ctx := correlate.WithRequest(estimating.WithCaller(t.Context(), auth.ForCompany(company)), "crm-1")
	if _, err := s.PingWebhook(ctx, estimating.RequestKey{Company: company}, "all"); err != nil {
		t.Fatal(err)
	}
	var request string
	err := connect(t, db.AdminURL()).QueryRow(t.Context(), `select metadata->>'request_id' from river_job where kind = 'webhook_delivery'`).Scan(&request)
	if err != nil || request != "crm-1" {
		t.Errorf("%q, %v", request, err)
	}
}
