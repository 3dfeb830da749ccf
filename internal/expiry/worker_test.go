package expiry_test

import (
	"context"
	"log/slog"
	"testing"
	"time"

	"github.com/govalues/decimal"
	"github.com/riverqueue/river"
	"go.uber.org/goleak"

	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/expiry"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
	"wattle/internal/work"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// issued stores a quote that expires at a time.
func issued(t *testing.T, s *postgres.Store, company, id string, ends time.Time) {
	t.Helper()
	made := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	ctx := storetest.Context(company)
	r := estimating.Record{
		Company: company, ID: id, Office: "main", CreatedAt: made, AsOf: civil.Must("2026-03-01"), ValidUntil: civil.Must("2026-03-31"),
		RulesVersion: 1, FingerprintVersion: 1, Currency: "USD", Total: decimal.MustParse("1"), Document: []byte("{}"),
	}
	if _, err := s.InsertQuote(ctx, estimating.RequestKey{Company: company}, r); err != nil {
		t.Fatal(err)
	}
	_, err := s.MoveQuote(ctx, estimating.RequestKey{Company: company}, id, made, func(estimating.Offer) ([]estimating.Step, error) {
		return []estimating.Step{{Quote: id, Action: quote.Issue, ExpiresAt: ends}}, nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A worker, in its own role, ends what has ended in every company, and tells of
// it; what has time left stays.
func TestQuotesExpireByThemselves(t *testing.T) {
	s, db := storetest.NewWithDB(t)
	past, future := time.Now().Add(-time.Hour), time.Now().Add(time.Hour)
	for _, company := range []string{"harrow", "larch"} {
		storetest.FirstKey(t, s, company)
		issued(t, s, company, "over", past)
		issued(t, s, company, "open", future)
	}
	asWorker, err := postgres.Open(t.Context(), db.WorkerURL())
	if err != nil {
		t.Fatal(err)
	}
	defer asWorker.Close()
	workers := river.NewWorkers()
	river.AddWorker(workers, expiry.NewWorker(&estimating.Service{Quotes: asWorker, Offices: asWorker}))
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() {
		ended <- work.Run(ctx, asWorker.Queue(), work.Config{
			Workers: workers, Periodic: []*river.PeriodicJob{expiry.Periodic()}, Log: slog.New(slog.DiscardHandler),
		})
	}()
	defer func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	}()
	for _, company := range []string{"harrow", "larch"} {
		var got []estimating.Event
		for start := time.Now(); len(got) == 0 && time.Since(start) < time.Minute; time.Sleep(50 * time.Millisecond) {
			page, err := s.ReadEvents(storetest.Context(company), estimating.EventFilter{Company: company, Types: []string{estimating.QuoteExpired}, Limit: 10})
			if err != nil {
				t.Fatal(err)
			}
			got = page.Events
		}
		if len(got) != 1 || got[0].Subject != "companies/"+company+"/quotes/over" || got[0].Sequence != 3 {
			t.Errorf("%s: %+v", company, got)
		}
		if r, err := s.Quote(storetest.Context(company), company, "open"); err != nil || r.Life.State != quote.Issued {
			t.Errorf("%s: a quote with time left is %s, %v", company, r.Life.State, err)
		}
	}
}
