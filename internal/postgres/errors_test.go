package postgres_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

func TestTranslate(t *testing.T) {
	expired, cancel := context.WithDeadline(scoped(), time.Unix(0, 0))
	defer cancel()
	canceled, cancel := context.WithCancel(scoped())
	cancel()
	code := func(code, constraint string) error {
		return fmt.Errorf("insert: %w", &pgconn.PgError{Code: code, ConstraintName: constraint, Message: "ERROR: secret text"})
	}
	alive := scoped()
	for _, c := range []struct {
		ctx    context.Context
		err    error
		kind   fault.Kind
		reason string
	}{
		{alive, code("23505", "quote_pkey"), fault.AlreadyExists, "QUOTE_EXISTS"},
		{alive, code("23505", "price_entry_pkey"), fault.Internal, "DATABASE_ERROR"},
		{alive, code("23514", "price_entry_state_check"), fault.Internal, "DATABASE_ERROR"},
		{alive, code("42501", ""), fault.Internal, "DATABASE_ERROR"},
		{alive, code("40001", ""), fault.Unavailable, "DATABASE_BUSY"},
		{alive, code("40P01", ""), fault.Unavailable, "DATABASE_BUSY"},
		{alive, code("57P01", ""), fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, code("57P02", ""), fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, code("57P03", ""), fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, code("57P05", ""), fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, code("53100", ""), fault.Unavailable, "DATABASE_FULL"},
		{alive, code("53200", ""), fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, code("53300", ""), fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, code("58030", ""), fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, code("25P03", ""), fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, code("08006", ""), fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, code("25006", ""), fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, code("22021", ""), fault.Invalid, "TEXT_NOT_STORABLE"},
		{alive, code("57014", ""), fault.DeadlineExceeded, "DEADLINE_EXCEEDED"},
		{expired, code("57014", ""), fault.DeadlineExceeded, "DEADLINE_EXCEEDED"},
		{canceled, code("57014", ""), fault.Canceled, "CANCELED"},
		{alive, context.DeadlineExceeded, fault.DeadlineExceeded, "DEADLINE_EXCEEDED"},
		{alive, io.ErrUnexpectedEOF, fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, &pgconn.ConnectError{}, fault.Unavailable, "DATABASE_UNAVAILABLE"},
		{alive, errors.New("secret text"), fault.Internal, "DATABASE_ERROR"},
		{expired, fault.New(fault.Conflict, "BOOK_MOVED", "moved"), fault.Conflict, "BOOK_MOVED"},
	} {
		got := postgres.Translate(c.ctx, c.err)
		wantFault(t, got, c.kind, c.reason)
		if strings.Contains(got.Error(), "secret") {
			t.Errorf("%v: the message tells the driver's text", got)
		}
		if !errors.Is(got, c.err) {
			t.Errorf("%v: the cause is lost", got)
		}
	}
	if err := postgres.Translate(alive, nil); err != nil {
		t.Errorf("nil became %v", err)
	}
}

func TestADeadlineThatHasPassed(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx, cancel := context.WithDeadline(scoped(), time.Now().Add(-time.Second))
	defer cancel()
	_, err := s.Resolve(ctx, query("2026-01-01", 0, "post"))
	wantFault(t, err, fault.DeadlineExceeded, "DEADLINE_EXCEEDED")
	_, err = s.InsertQuote(ctx, estimating.RequestKey{Company: company}, record("q1", "2026-03-01T12:00:00Z"))
	wantFault(t, err, fault.DeadlineExceeded, "DEADLINE_EXCEEDED")
	if _, err := s.Quote(scoped(), company, "q1"); fault.KindOf(err) != fault.NotFound {
		t.Errorf("the quote was stored: %v", err)
	}
}

// A call whose deadline passes, or whose caller goes, while it waits inside
// Postgres ends at once, stores nothing, and leaves the store usable.
func TestADeadlineThatPassesInside(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	mustImport(t, s, "start", list(t, book.Patch, "post 2026-01-01 10.00"))
	blocker := connect(t, db.AdminURL())
	ctx := scoped()
	tx, err := blocker.Begin(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = tx.Rollback(ctx) }()
	if _, err := tx.Exec(ctx, `select from book_head for update`); err != nil {
		t.Fatal(err)
	}
	in := list(t, book.Patch, "post 2026-01-01 11.00")
	short, cancel := context.WithTimeout(ctx, 200*time.Millisecond)
	defer cancel()
	start := time.Now()
	_, err = s.Import(short, importKey("late"), in)
	wantFault(t, err, fault.DeadlineExceeded, "DEADLINE_EXCEEDED")
	leaving, leave := context.WithCancel(ctx)
	time.AfterFunc(200*time.Millisecond, leave)
	_, err = s.Import(leaving, importKey("left"), in)
	wantFault(t, err, fault.Canceled, "CANCELED")
	if took := time.Since(start); took > 10*time.Second {
		t.Errorf("it took %v", took)
	}
	if err := tx.Rollback(ctx); err != nil {
		t.Fatal(err)
	}
	if out := mustImport(t, s, "late", in); out.Head.Revision != 2 {
		t.Errorf("revision %d, want 2", out.Head.Revision)
	}
}

// The real thing breaks: Postgres ends the connections while a call waits. The
// call is Unavailable, and the next one gets a new connection.
func TestALostConnection(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	mustImport(t, s, "start", list(t, book.Patch, "post 2026-01-01 10.00"))
	ctx := scoped()
	admin, blocker := connect(t, db.AdminURL()), connect(t, db.AdminURL())
	tx, err := blocker.Begin(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = tx.Rollback(ctx) }()
	if _, err := tx.Exec(ctx, `select from book_head for update`); err != nil {
		t.Fatal(err)
	}
	failed := make(chan error)
	go func() {
		_, err := s.Import(ctx, importKey("cut"), list(t, book.Patch, "post 2026-01-01 11.00"))
		failed <- err
	}()
	for killed := 0; killed == 0; time.Sleep(20 * time.Millisecond) {
		err := admin.QueryRow(ctx, `
			select count(pg_terminate_backend(pid)) from pg_stat_activity
			where datname = current_database() and usename = 'wattle_service' and wait_event_type = 'Lock'`).Scan(&killed)
		if err != nil {
			t.Fatal(err)
		}
	}
	wantFault(t, <-failed, fault.Unavailable, "DATABASE_UNAVAILABLE")
	if err := tx.Rollback(ctx); err != nil {
		t.Fatal(err)
	}
	if head, err := s.Head(ctx, company); err != nil || head.Revision != 1 {
		t.Errorf("head %v, %v; want revision 1", head, err)
	}
}

func TestNoDatabase(t *testing.T) {
	_, err := postgres.Open(scoped(), "postgres://nobody@127.0.0.1:1/none?connect_timeout=2")
	wantFault(t, err, fault.Unavailable, "DATABASE_UNAVAILABLE")
	_, err = postgres.Open(scoped(), "not a url")
	wantFault(t, err, fault.Invalid, "DATABASE_URL")
}
