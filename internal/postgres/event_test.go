package postgres_test

import (
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// Each change leaves one event and one job, in its own transaction; a repeated
// call, a dry run and a change that changes nothing leave none.
func TestEachChangeIsAnEvent(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	ctx := scoped()
	for range 2 {
		mustImport(t, s, "one", list(t, book.Patch, "post 2026-01-01 10.00"))
		if _, err := s.InsertQuote(ctx, key("CreateQuote", "q", ""), record("q1", "2026-03-01T12:00:00Z")); err != nil {
			t.Fatal(err)
		}
		if _, _, err := s.SaveSpec(ctx, key("SaveSpec", "s", ""), saved("cedar", "six feet")); err != nil {
			t.Fatal(err)
		}
	}
	dry := list(t, book.Patch, "post 2026-01-01 12.00")
	dry.DryRun = true
	mustImport(t, s, "dry", dry)
	mustImport(t, s, "same", list(t, book.Patch, "post 2026-01-01 10.00"))
	mustImport(t, s, "two", list(t, book.Patch, "post 2026-01-01 11.00"))
	for range 2 {
		if _, _, err := s.WithdrawSpec(ctx, estimating.RequestKey{Company: company}, "cedar", time.Unix(0, 0)); err != nil {
			t.Fatal(err)
		}
	}
	admin := connect(t, db.AdminURL())
	rows, err := admin.Query(ctx, `
		select e.type || ' ' || e.subject || ' ' || e.sequence || ' ' || e.office
		from event e
		join event_pending p on p.company = e.company and p.event_id = e.id
		join river_job j on j.args = jsonb_build_object('company', e.company, 'event', e.id) and j.kind = 'event' and j.queue = 'events'
		where substr(e.id::text, 15, 1) = '7' and e.created_at between now() - interval '1 minute' and now()
		order by p.number`)
	if err != nil {
		t.Fatal(err)
	}
	got, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"prices.imported companies/harrow/book 1 main",
		"quote.created companies/harrow/quotes/q1 1 main",
		"spec.saved companies/harrow/specs/cedar 1 main",
		"prices.imported companies/harrow/book 2 main",
		"spec.withdrawn companies/harrow/specs/cedar 2 main",
	}
	if len(got) != len(want) {
		t.Fatalf("events %q, want %q", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("event %d: %s, want %s", i, got[i], want[i])
		}
	}
	var all, jobs int
	if err := admin.QueryRow(ctx, `select (select count(*) from event), (select count(*) from river_job)`).Scan(&all, &jobs); err != nil || all != len(want) || jobs != len(want)+2 {
		t.Errorf("%d events and %d jobs, %v; want %d, and a job for each and for the impact of each import", all, jobs, err, len(want))
	}
}

// told are the subjects of all events after a position, and the next position.
func told(t *testing.T, s *postgres.Store, after int64) (subjects []string, next int64) {
	t.Helper()
	page, err := s.ReadEvents(scoped(), estimating.EventFilter{Company: company, After: after, Limit: 100})
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range page.Events {
		if e.Position <= after {
			t.Errorf("position %d after %d", e.Position, after)
		}
		after = e.Position
		subjects = append(subjects, fmt.Sprintf("%s %d", e.Subject, e.Sequence))
	}
	return subjects, page.Next
}

// asCompany is the scope of a transaction of a company that a test holds open.
const asCompany = `select set_config('wattle.company', $1, true), set_config('wattle.writes', '*', true)`

// A transaction writes its event early and commits late: who has read past
// others meanwhile is told of it too.
func TestAnEventThatCommitsLate(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	ctx := scoped()
	late := connect(t, db.ServiceURL())
	tx, err := late.Begin(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = tx.Rollback(ctx) }()
	if _, err := tx.Exec(ctx, asCompany, company); err != nil {
		t.Fatal(err)
	}
	if err := postgres.Emit(ctx, tx, estimating.Event{Company: company, Office: "main", Type: "quote.created", Subject: "companies/harrow/quotes/late", Sequence: 1}); err != nil {
		t.Fatal(err)
	}
	mustImport(t, s, "one", list(t, book.Patch, "post 2026-01-01 10.00"))
	got, next := told(t, s, 0)
	if !slices.Equal(got, []string{"companies/harrow/book 1"}) {
		t.Fatalf("before: %q", got)
	}
	if again, at := told(t, s, next); again != nil || at != next {
		t.Fatalf("nothing happened, and %q was told", again)
	}
	if err := tx.Commit(ctx); err != nil {
		t.Fatal(err)
	}
	if got, _ := told(t, s, next); !slices.Equal(got, []string{"companies/harrow/quotes/late 1"}) {
		t.Errorf("after: %q", got)
	}
	if got, _ := told(t, s, 0); !slices.Equal(got, []string{"companies/harrow/book 1", "companies/harrow/quotes/late 1"}) {
		t.Errorf("from the start: %q", got)
	}
}

// Readers and writers at once, some writers holding their transactions open for
// a while: each reader is told each event once, and those of one subject in its
// own order.
func TestEveryReaderIsToldEveryEvent(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	ctx := scoped()
	const writers, each, readers = 6, 40, 3
	done := make(chan struct{})
	var writing, reading sync.WaitGroup
	for w := range writers {
		conn := connect(t, db.ServiceURL())
		writing.Go(func() {
			for i := range each {
				err := pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
					if _, err := tx.Exec(ctx, asCompany, company); err != nil {
						return err
					}
					err := postgres.Emit(ctx, tx, estimating.Event{
						Company: company, Office: "main", Type: "quote.created", Subject: fmt.Sprintf("companies/harrow/quotes/%d", w), Sequence: int64(i + 1),
					})
					if err == nil && i%7 == w%7 {
						_, err = tx.Exec(ctx, `select pg_sleep(0.02)`)
					}
					return err
				})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	for range readers {
		reading.Go(func() {
			newest := map[string]int64{}
			var after int64
			for ended := false; ; {
				page, err := s.ReadEvents(ctx, estimating.EventFilter{Company: company, After: after, Limit: 10})
				if err != nil {
					t.Error(err)
					return
				}
				for _, e := range page.Events {
					if e.Sequence != newest[e.Subject]+1 || e.Position <= after {
						t.Errorf("%s: %d after %d, at %d after %d", e.Subject, e.Sequence, newest[e.Subject], e.Position, after)
					}
					newest[e.Subject], after = e.Sequence, e.Position
				}
				switch {
				case len(page.Events) > 0:
				case ended:
					for w := range writers {
						if n := newest[fmt.Sprintf("companies/harrow/quotes/%d", w)]; n != each {
							t.Errorf("writer %d: told %d of %d", w, n, each)
						}
					}
					if after != writers*each {
						t.Errorf("the last position is %d, want %d", after, writers*each)
					}
					return
				default:
					select {
					case <-done:
						ended = true
					default:
					}
				}
			}
		})
	}
	writing.Wait()
	close(done)
	reading.Wait()
}

// A filter leaves events out, and goes past them.
func TestEventsAreFiltered(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx := scoped()
	for i := range 3 {
		mustImport(t, s, fmt.Sprint(i), list(t, book.Patch, fmt.Sprintf("post 2026-01-01 1%d.00", i)))
	}
	if _, _, err := s.SaveSpec(ctx, key("SaveSpec", "s", ""), saved("cedar", "six feet")); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		filter estimating.EventFilter
		events int
		next   int64
		more   bool
	}{
		{estimating.EventFilter{Limit: 10}, 4, 4, false},
		{estimating.EventFilter{Limit: 3}, 3, 3, true},
		{estimating.EventFilter{Limit: 10, After: 3}, 1, 4, false},
		{estimating.EventFilter{Limit: 10, Types: []string{"spec.saved"}}, 1, 4, false},
		{estimating.EventFilter{Limit: 10, Types: []string{"quote.created"}}, 0, 4, false},
		{estimating.EventFilter{Limit: 10, Offices: []string{"north"}}, 0, 4, false},
		{estimating.EventFilter{Limit: 10, Offices: []string{"main", "north"}}, 4, 4, false},
	} {
		c.filter.Company = company
		page, err := s.ReadEvents(ctx, c.filter)
		if err != nil || len(page.Events) != c.events || page.Next != c.next || page.More != c.more {
			t.Errorf("%+v: %d events, next %d, more %v, %v", c.filter, len(page.Events), page.Next, page.More, err)
		}
	}
}
