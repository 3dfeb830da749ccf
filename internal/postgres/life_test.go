package postgres_test

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
)

var (
	made = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	ends = time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC)
)

func insert(t testing.TB, s *postgres.Store, ids ...string) {
	t.Helper()
	for _, id := range ids {
		if _, err := s.InsertQuote(scoped(), key("CreateQuote", id, id), record(id, made.Format(time.RFC3339))); err != nil {
			t.Fatal(err)
		}
	}
}

// do takes one step with a quote, under a request id of its own.
func do(s *postgres.Store, requestID, id string, step estimating.Step) (estimating.Record, error) {
	step.Quote = id
	return s.MoveQuote(scoped(), key("Move", requestID, id+requestID), id, made.Add(time.Hour),
		func(estimating.Offer) ([]estimating.Step, error) { return []estimating.Step{step}, nil })
}

var (
	issue  = estimating.Step{Action: quote.Issue, ExpiresAt: ends}
	accept = estimating.Step{Action: quote.Accept, Decision: estimating.Decision{By: quote.Customer, Reference: "env-7", On: civil.Must("2026-03-02")}}
)

func TestAMoveIsStoredWithItsKey(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx := scoped()
	insert(t, s, "q1")
	issued, err := do(s, "i", "q1", issue)
	want := record("q1", made.Format(time.RFC3339))
	want.Life.State, want.Life.Sequence, want.Life.UpdatedAt, want.Life.ExpiresAt = quote.Issued, 2, made.Add(time.Hour), ends
	if err != nil || !reflect.DeepEqual(issued, want) {
		t.Fatalf("issued: %v, %v\nwant %v", issued, err, want)
	}
	again, err := do(s, "i", "q1", accept) // the key decides, not the step
	if err != nil || !reflect.DeepEqual(again, want) {
		t.Errorf("again: %v, %v", again, err)
	}
	_, err = s.MoveQuote(ctx, key("Move", "i", "another body"), "q1", made, nil)
	wantFault(t, err, fault.AlreadyExists, "REQUEST_ID_REUSED")
	_, err = do(s, "i2", "q1", issue)
	wantFault(t, err, fault.Refused, "QUOTE_STATE")
	_, err = do(s, "n", "none", issue)
	wantFault(t, err, fault.NotFound, "QUOTE_NOT_FOUND")

	// A refused move keeps nothing: its request id is still free.
	accepted, err := do(s, "i2", "q1", accept)
	if err != nil || accepted.Life.Decision != accept.Decision || accepted.Life.State != quote.Accepted || accepted.Life.Sequence != 3 {
		t.Errorf("accepted: %v, %v", accepted.Life, err)
	}
	if got, err := s.Quote(ctx, company, "q1"); err != nil || !reflect.DeepEqual(got, accepted) {
		t.Errorf("read back: %v, %v", got, err)
	}
}

// Time does not go backwards in a quote's life, though it may between machines.
func TestAClockThatIsBehind(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	insert(t, s, "q1")
	r, err := s.MoveQuote(scoped(), key("Move", "1", "1"), "q1", made.Add(-time.Minute),
		func(estimating.Offer) ([]estimating.Step, error) {
			return []estimating.Step{{Quote: "q1", Action: quote.Cancel}}, nil
		})
	if err != nil || !r.Life.UpdatedAt.Equal(made) {
		t.Errorf("updated at %v, %v; made at %v", r.Life.UpdatedAt, err, made)
	}
}

// Forty clients on two stores issue, accept, decline and void the same quotes at
// once: each transition is won once, and what is stored is a life without a gap.
func TestManyMoveTheSameQuotes(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	stores := []*postgres.Store{s, storetest.Open(t, db)}
	ids := []string{"q1", "q2", "q3", "q4", "q5"}
	insert(t, s, ids...)
	steps := []estimating.Step{issue, accept, {Action: quote.Decline}, {Action: quote.Cancel}}
	var won [5]atomic.Int64
	var wg sync.WaitGroup
	for client := range 40 {
		wg.Go(func() {
			for i, id := range ids {
				for k := range 4 {
					_, err := do(stores[client%2], fmt.Sprint(client, id, k), id, steps[(client+k)%4])
					switch {
					case err == nil:
						won[i].Add(1)
					case fault.KindOf(err) != fault.Refused:
						t.Errorf("%s: %v (%v)", id, err, errors.Unwrap(err))
					}
				}
			}
		})
	}
	wg.Wait()
	conn := connect(t, db.AdminURL())
	for i, id := range ids {
		life := lifeOf(t, conn, id)
		if int64(len(life)) != won[i].Load()+1 {
			t.Errorf("%s: %d moves were answered with success, its life is %q", id, won[i].Load(), life)
		}
		r, err := s.Quote(scoped(), company, id)
		if err != nil || r.Life.Sequence != len(life) ||
			!strings.HasSuffix(life[len(life)-1], "> "+string(r.Life.State)) {
			t.Errorf("%s: stands at %v, %v; its life is %q", id, r.Life, err, life)
		}
		if r.Life.State.Open() { // every client tried to void it
			t.Errorf("%s is still %s", id, r.Life.State)
		}
	}
}

// lifeOf is a quote's transitions, "1 create - > draft", and fails unless each
// goes on where the one before ended.
func lifeOf(t testing.TB, conn *pgx.Conn, id string) []string {
	t.Helper()
	rows, err := conn.Query(scoped(), `
		select sequence || ' ' || action || ' ' || coalesce(from_state, '-') || ' > ' || to_state,
			sequence = row_number() over w and from_state is not distinct from lag(to_state) over w
		from quote_transition where company = $1 and quote_id = $2
		window w as (order by sequence)
		order by sequence`, company, id)
	if err != nil {
		t.Fatal(err)
	}
	type row struct {
		Step    string
		Follows bool
	}
	all, err := pgx.CollectRows(rows, pgx.RowToStructByPos[row])
	if err != nil || len(all) == 0 {
		t.Fatalf("%s has the life %v, %v", id, all, err)
	}
	var life []string
	for _, r := range all {
		if !r.Follows {
			t.Errorf("%s: %q does not follow what was before", id, r.Step)
		}
		life = append(life, r.Step)
	}
	return life
}

// beside inserts an option of a quote; closing accepts a quote and closes the
// others, as the use case does.
func beside(s *postgres.Store, id, other string) (estimating.Record, error) {
	return s.InsertQuoteBeside(scoped(), key("CreateQuote", id, id), record(id, made.Format(time.RFC3339)), other,
		func(l *estimating.Life, o estimating.Offer) ([]estimating.Step, error) {
			if !o.Quote.Life.State.Open() {
				return nil, fault.New(fault.Refused, "QUOTE_STATE", "closed")
			}
			l.OptionGroup = o.Quote.Life.OptionGroup
			return nil, nil
		})
}

func closing(s *postgres.Store, id string) error {
	_, err := s.MoveQuote(scoped(), key("AcceptQuote", id, id), id, made.Add(2*time.Hour),
		func(o estimating.Offer) ([]estimating.Step, error) {
			step := accept
			step.Quote = id
			steps := []estimating.Step{step}
			for _, other := range o.Others {
				if other.Life.State.Open() {
					steps = append(steps, estimating.Step{Quote: other.ID, Action: quote.ChooseOther})
				}
			}
			return steps, nil
		})
	return err
}

// Two options are accepted at once while more are added: one wins, and at the end
// no option of the group is open.
func TestOptionsAreAcceptedOnceWhileOthersJoin(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	there := storetest.Open(t, db)
	for round := range 8 {
		name := func(n int) string { return fmt.Sprintf("r%d-%d", round, n) }
		insert(t, s, name(0))
		for n := 1; n < 4; n++ {
			if _, err := beside(s, name(n), name(n-1)); err != nil {
				t.Fatal(err)
			}
		}
		for n := range 3 { // the fourth stays a draft
			if _, err := do(s, name(n), name(n), issue); err != nil {
				t.Fatal(err)
			}
		}
		var wg sync.WaitGroup
		var won atomic.Int64
		for n := range 3 {
			wg.Go(func() {
				if err := closing([]*postgres.Store{s, there}[n%2], name(n)); err == nil {
					won.Add(1)
				} else if fault.KindOf(err) != fault.Refused {
					t.Error(err, errors.Unwrap(err))
				}
			})
			wg.Go(func() {
				if _, err := beside(there, name(10+n), name(n)); err != nil && fault.KindOf(err) != fault.Refused {
					t.Error(err, errors.Unwrap(err))
				}
			})
		}
		wg.Wait()
		all, err := s.ListQuotes(scoped(), estimating.QuoteFilter{Company: company, Limit: 1000})
		if err != nil || won.Load() != 1 {
			t.Fatalf("%d accepted, %v", won.Load(), err)
		}
		for _, r := range all {
			if r.Life.State.Open() {
				t.Errorf("%s is %s though an option of %s was accepted", r.ID, r.Life.State, r.Life.OptionGroup)
			}
		}
	}
}

// The quotes whose day has ended expire, the longest ended first, in as many
// calls as it takes, from several sides at once; nothing else does.
func TestExpireQuotes(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	there := storetest.Open(t, db)
	ctx := scoped()
	const n = 47
	for i := range n {
		id := fmt.Sprintf("q%02d", i)
		insert(t, s, id)
		if _, err := do(s, id, id, estimating.Step{Action: quote.Issue, ExpiresAt: ends.Add(time.Duration(i) * time.Hour)}); err != nil {
			t.Fatal(err)
		}
	}
	insert(t, s, "draft", "accepted")
	if _, err := do(s, "a1", "accepted", issue); err != nil {
		t.Fatal(err)
	}
	if _, err := do(s, "a2", "accepted", accept); err != nil {
		t.Fatal(err)
	}
	if got, err := s.ExpireQuotes(ctx, company, ends.Add(-time.Microsecond), 500); err != nil || got != 0 {
		t.Errorf("before the day ends: %d expired, %v", got, err)
	}
	if got, err := s.ExpireQuotes(ctx, company, ends, 500); err != nil || got != 1 {
		t.Errorf("as the day ends: %d expired, %v; want q00", got, err)
	}
	if got, err := s.ExpireQuotes(storetest.Context("larch"), "larch", ends.Add(1000*time.Hour), 500); err != nil || got != 0 {
		t.Errorf("of another company: %d expired, %v", got, err)
	}
	var total atomic.Int64
	var wg sync.WaitGroup
	for i := range 6 {
		wg.Go(func() {
			for {
				got, err := []*postgres.Store{s, there}[i%2].ExpireQuotes(ctx, company, ends.Add(39*time.Hour), 5)
				if err != nil {
					t.Error(err, errors.Unwrap(err))
				}
				if total.Add(int64(got)); got == 0 {
					return
				}
			}
		})
	}
	wg.Wait()
	if total.Load() != 39 {
		t.Errorf("%d expired, want q01 to q39", total.Load())
	}
	conn := connect(t, db.AdminURL())
	for i := range n {
		life := lifeOf(t, conn, fmt.Sprintf("q%02d", i))
		if expired := slices.Contains(life, "3 expire issued > expired"); expired != (i <= 39) || len(life) > 3 {
			t.Errorf("q%02d: %q", i, life)
		}
	}
	for _, id := range []string{"draft", "accepted"} {
		if life := lifeOf(t, conn, id); strings.Contains(strings.Join(life, " "), "expire") {
			t.Errorf("%s: %q", id, life)
		}
	}
}

func TestListQuotesByLife(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	insert(t, s, "q1", "q2", "q3", "q4")
	for _, id := range []string{"q2", "q3"} {
		if _, err := do(s, id, id, issue); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := do(s, "a", "q3", accept); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		f    estimating.QuoteFilter
		want string
	}{
		{estimating.QuoteFilter{}, "q4 q3 q2 q1"},
		{estimating.QuoteFilter{States: []quote.State{quote.Draft}}, "q4 q1"},
		{estimating.QuoteFilter{States: []quote.State{quote.Accepted, quote.Issued}}, "q3 q2"},
		{estimating.QuoteFilter{States: []quote.State{quote.Void}}, ""},
		{estimating.QuoteFilter{UpdatedSince: made}, "q4 q3 q2 q1"},
		{estimating.QuoteFilter{UpdatedSince: made.Add(time.Hour)}, "q3 q2"},
		{estimating.QuoteFilter{UpdatedSince: made.Add(time.Hour + 1000)}, ""},
		{estimating.QuoteFilter{Root: "q2"}, "q2"},
	} {
		c.f.Company, c.f.Limit = company, 10
		list, err := s.ListQuotes(scoped(), c.f)
		var got []string
		for _, r := range list {
			got = append(got, r.ID)
		}
		if err != nil || strings.Join(got, " ") != c.want {
			t.Errorf("%+v: %q, %v; want %q", c.f, got, err, c.want)
		}
	}
}

// What a program may not do, the schema does not let it do either.
func TestTheSchemaHoldsALife(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	insert(t, s, "q1", "q2", "q3")
	for _, id := range []string{"q2", "q3"} {
		if _, err := do(s, id, id, issue); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := do(s, "a", "q3", accept); err != nil {
		t.Fatal(err)
	}
	service := connect(t, db.ServiceURL())
	ctx := scoped()
	const step = `insert into quote_transition (company, quote_id, sequence, action, from_state, to_state, at, decided_by, decided_on) values ('harrow', `
	const place = `insert into quote_state (company, quote_id, root, revision_number, revises, option_group, state, sequence, updated_at) values ('harrow', `
	for sql, constraint := range map[string]string{
		step + `'q1', 2, 'issue', 'draft', 'issued', now(), null, null)`:               "",
		step + `'q1', 2, 'accept', 'draft', 'accepted', now(), 'agent', '2026-03-01')`: "quote_transition_life_check",
		step + `'q1', 3, 'issue', 'draft', 'issued', now(), null, null)`:               "quote_transition_previous_fkey",
		step + `'q1', 2, 'decline', 'issued', 'declined', now(), null, null)`:          "quote_transition_previous_fkey",
		step + `'q2', 2, 'issue', 'draft', 'issued', now(), null, null)`:               "quote_transition_pkey",
		step + `'q1', 2, 'create', null, 'draft', now(), null, null)`:                  "quote_transition_sequence_check",
		step + `'q2', 3, 'accept', 'issued', 'accepted', now(), null, '2026-03-01')`:   "quote_transition_decision_check",
		step + `'q2', 3, 'accept', 'issued', 'accepted', now(), 'bob', '2026-03-01')`:  "quote_transition_decision_check",
		step + `'q1', 2, 'issue', 'draft', 'issued', now(), 'agent', null)`:            "quote_transition_decision_check",
		step + `'none', 1, 'create', null, 'draft', now(), null, null)`:                "quote_transition_quote_fkey",
		`update quote_state set state = 'accepted' where quote_id = 'q2'`:              "quote_state_transition_fkey",
		`update quote_state set sequence = 1 where quote_id = 'q2'`:                    "quote_state_transition_fkey",
		`update quote_state set state = 'sold' where quote_id = 'q2'`:                  "quote_state_state_check",
		`update quote_state set expires_at = null where quote_id = 'q2'`:               "quote_state_expires_check",
		place + `'q1', 'q1', 1, null, 'q1', 'draft', 1, now())`:                        "quote_state_pkey",
		place + `'q1', 'q1', 2, null, 'q1', 'draft', 1, now())`:                        "quote_state_chain_check",
		place + `'q1', 'q2', 1, null, 'q1', 'draft', 1, now())`:                        "quote_state_chain_check",
	} {
		err := pgx.BeginFunc(ctx, service, func(tx pgx.Tx) error {
			if _, err := tx.Exec(ctx, scopeOf(company, "*")); err != nil {
				return err
			}
			if _, err := tx.Exec(ctx, sql); err != nil {
				return err
			}
			return pgx.ErrTxClosed // roll back
		})
		if constraint == "" {
			if !errors.Is(err, pgx.ErrTxClosed) {
				t.Errorf("%s: %v", sql, err)
			}
		} else if err == nil || !strings.Contains(err.Error(), `"`+constraint+`"`) {
			t.Errorf("%s: %v, want %s", sql, err, constraint)
		}
	}
}

// Where the decision under the lock is wrong, constraints say no.
func TestConstraintsStandBehindTheLock(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	insert(t, s, "q1")
	if _, err := beside(s, "q2", "q1"); err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"q1", "q2"} {
		if _, err := do(s, id, id, issue); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := do(s, "a1", "q1", accept); err != nil { // without closing q2
		t.Fatal(err)
	}
	_, err := do(s, "a2", "q2", accept)
	wantFault(t, err, fault.Conflict, "QUOTE_MOVED")

	revise := func(id string) error {
		_, err := s.InsertQuoteBeside(scoped(), key("ReviseQuote", id, id), record(id, made.Format(time.RFC3339)), "q2",
			func(l *estimating.Life, o estimating.Offer) ([]estimating.Step, error) {
				l.Root, l.Revises, l.RevisionNumber = "q2", "q2", 2
				return nil, nil
			})
		return err
	}
	if err := revise("q3"); err != nil {
		t.Fatal(err, errors.Unwrap(err))
	}
	wantFault(t, revise("q4"), fault.Conflict, "QUOTE_MOVED")
}
