package rpc

import (
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/postgres/storetest"
)

// What the clients did, by their own account.
type account struct {
	created, revised, issued, accepted, declined, voided, imported atomic.Int64
}

// Twenty clients create, revise, issue and accept while four import, every call
// sent twice at once under one request id. Then everything adds up: each
// accepted quote replays, no request made two quotes, revisions have no gap, and
// every change of state has its event and no event another.
func TestEverythingAtOnce(t *testing.T) {
	t.Parallel()
	const clients, importers, rounds = 20, 4, 6
	store, db := storetest.NewWithDB(t)
	use := &estimating.Service{
		Quotes: store, Prices: store, Specs: store, Offices: store, Papers: store,
		Now:   func() time.Time { return time.Date(2026, 3, 5, 12, 0, 0, 0, time.UTC) }, // the day of the job
		NewID: func() string { return uuid.Must(uuid.NewV7()).String() },
	}
	o := officeOn(t, use, Config{})
	if _, err := o.importList(t, "start", market("2026-01-01", "12.00")); err != nil {
		t.Fatal(err)
	}
	var did account
	var wg sync.WaitGroup
	for i := range clients {
		wg.Go(func() { live(t, o, &did, fmt.Sprint("client-", i), rounds) })
	}
	for i := range importers {
		wg.Go(func() {
			for j := range rounds {
				name := fmt.Sprintf("import-%d-%d", i, j)
				_, err := twice(func() (*wattlev1.ImportPricesResponse, error) {
					return o.importList(t, name, market("2026-01-01", fmt.Sprintf("12.%02d", 1+i*rounds+j)))
				}, (*wattlev1.ImportPricesResponse).GetRevision)
				if err != nil {
					t.Errorf("%s: %v", name, err)
				}
				did.imported.Add(1)
			}
		})
	}
	wg.Wait()
	if t.Failed() {
		return
	}

	ctx := t.Context()
	admin, err := pgx.Connect(ctx, db.AdminURL())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = admin.Close(ctx) }()
	counts := func(sql string) (n int64) {
		t.Helper()
		if err := admin.QueryRow(ctx, sql).Scan(&n); err != nil {
			t.Fatalf("%s: %v", sql, err)
		}
		return n
	}
	quotes := did.created.Load() + did.revised.Load()
	for _, c := range []struct {
		what string
		want int64
		sql  string
	}{
		{"quotes", quotes, `select count(*) from quote`},
		{"request ids of quotes", quotes, `select count(*) from idempotency where method in ('CreateQuote', 'ReviseQuote')`},
		{"quotes that request ids made", quotes, `select count(distinct result->>'quote') from idempotency where method in ('CreateQuote', 'ReviseQuote')`},
		{"steps of quotes", quotes + did.issued.Load() + did.accepted.Load() + did.declined.Load() + did.voided.Load(), `select count(*) from quote_transition`},
		{"accepted", did.accepted.Load(), `select count(*) from quote_state where state = 'accepted'`},
		{"declined", did.declined.Load(), `select count(*) from quote_state where state = 'declined'`},
		{"void", did.voided.Load(), `select count(*) from quote_state where state = 'void'`},
		{"revisions", 1 + did.imported.Load(), `select count(*) from book_revision`},
		{"the newest revision", 1 + did.imported.Load(), `select revision from book_head`},
		{"gaps in revisions", 0, `select count(*) from (select revision - row_number() over (order by revision) as off from book_revision) g where off <> 0`},
		{"steps without an event", 0, `
			select count(*) from quote_transition s
			where not exists (select from event e where e.company = s.company and e.subject = 'companies/' || s.company || '/quotes/' || s.quote_id
				and e.sequence = s.sequence and e.type like 'quote.%')`},
		{"events of quotes", quotes + did.issued.Load() + did.accepted.Load() + did.declined.Load() + did.voided.Load(), `select count(*) from event where type like 'quote.%'`},
		{"events of imports", 1 + did.imported.Load(), `select count(*) from event where type = 'prices.imported'`},
		{"quotes that saw no head of the book", 0, `
			select count(*) from quote q where not exists (select from book_revision r where r.company = q.company and r.revision = q.book_revision and r.chain_hash = q.book_hash)`},
	} {
		if got := counts(c.sql); got != c.want {
			t.Errorf("%s: %d, want %d", c.what, got, c.want)
		}
	}
	if did.accepted.Load() == 0 || did.declined.Load() == 0 || did.revised.Load() == 0 {
		t.Errorf("%d accepted, %d declined, %d revised: too little to prove anything", did.accepted.Load(), did.declined.Load(), did.revised.Load())
	}
	rows, err := admin.Query(ctx, `select quote_id from quote_state where state = 'accepted'`)
	if err != nil {
		t.Fatal(err)
	}
	accepted, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range accepted {
		replay, err := o.quotes.ReplayQuote(ctx, &wattlev1.ReplayQuoteRequest{Name: "companies/harrow/quotes/" + id})
		if err != nil || !replay.GetIdentical() {
			t.Errorf("%s does not replay: %v, %v", id, replay, err)
		}
	}
}

// live is one client's rounds: each makes a quote and takes it through a life, one
// of four kinds.
func live(t *testing.T, o shop, did *account, client string, rounds int) {
	ctx := t.Context()
	for round := range rounds {
		id := func(step string) string { return fmt.Sprintf("%s-%d-%s", client, round, step) }
		answer, err := twice(func() (interface{ GetQuote() *wattlev1.Quote }, error) {
			return o.quotes.CreateQuote(ctx, job(id("create")))
		}, nameOf)
		if err != nil {
			t.Errorf("%s: %v", id("create"), err)
			return
		}
		did.created.Add(1)
		name := answer.GetQuote().GetName()
		step := func(what string, call func(name, requestID string) (interface{ GetQuote() *wattlev1.Quote }, error), counts *atomic.Int64) {
			if _, err := twice(func() (interface{ GetQuote() *wattlev1.Quote }, error) { return call(name, id(what)) }, nameOf); err != nil {
				t.Errorf("%s: %v", id(what), err)
			}
			counts.Add(1)
		}
		issue := func(name, requestID string) (interface{ GetQuote() *wattlev1.Quote }, error) {
			return o.quotes.IssueQuote(ctx, &wattlev1.IssueQuoteRequest{Name: name, RequestId: requestID})
		}
		accept := func(name, requestID string) (interface{ GetQuote() *wattlev1.Quote }, error) {
			return o.quotes.AcceptQuote(ctx, &wattlev1.AcceptQuoteRequest{Name: name, RequestId: requestID, DecidedBy: wattlev1.QuoteDecision_PARTY_CUSTOMER})
		}
		switch round % 4 {
		case 0:
			step("issue", issue, &did.issued)
			step("accept", accept, &did.accepted)
		case 1:
			step("issue", issue, &did.issued)
			step("decline", func(name, requestID string) (interface{ GetQuote() *wattlev1.Quote }, error) {
				return o.quotes.DeclineQuote(ctx, &wattlev1.DeclineQuoteRequest{Name: name, RequestId: requestID, DecidedBy: wattlev1.QuoteDecision_PARTY_CUSTOMER})
			}, &did.declined)
		case 2:
			revision, err := twice(func() (interface{ GetQuote() *wattlev1.Quote }, error) {
				return o.quotes.ReviseQuote(ctx, &wattlev1.ReviseQuoteRequest{Name: name, RequestId: id("revise")})
			}, nameOf)
			if err != nil {
				t.Errorf("%s: %v", id("revise"), err)
				return
			}
			did.revised.Add(1)
			did.voided.Add(1)
			name = revision.GetQuote().GetName()
			step("issue", issue, &did.issued)
			step("accept", accept, &did.accepted)
		case 3: // two accept at once with ids of their own: one is the first
			step("issue", issue, &did.issued)
			var errs [2]error
			var both sync.WaitGroup
			for i := range errs {
				both.Go(func() { _, errs[i] = accept(name, id(fmt.Sprint("accept-", i))) })
			}
			both.Wait()
			if (errs[0] == nil) == (errs[1] == nil) {
				t.Errorf("%s: two acceptances: %v, %v", name, errs[0], errs[1])
			}
			for _, err := range errs {
				if err != nil && status.Code(err) != codes.FailedPrecondition {
					t.Errorf("%s: %v", name, err)
				}
			}
			did.accepted.Add(1)
		}
	}
}

func nameOf(answer interface{ GetQuote() *wattlev1.Quote }) string {
	return answer.GetQuote().GetName()
}

// twice makes one call two times at once; both must get the same.
func twice[T any, K comparable](call func() (T, error), of func(T) K) (T, error) {
	var answers [2]T
	var errs [2]error
	var wg sync.WaitGroup
	for i := range answers {
		wg.Go(func() { answers[i], errs[i] = call() })
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return answers[0], err
		}
	}
	if a, b := of(answers[0]), of(answers[1]); a != b {
		return answers[0], fmt.Errorf("one request, two answers: %v and %v", a, b)
	}
	return answers[0], nil
}
