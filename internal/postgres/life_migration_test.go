package postgres_test

import (
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"

	"wattle/internal/estimating"
	"wattle/internal/postgres"
	"wattle/internal/postgres/pgtest"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
	"wattle/migrations"
)

// beforeLife is the schema in which quotes had no states yet.
const beforeLife = 8

// oldQuote adds a quote as a program of before does.
func oldQuote(t *testing.T, conn *pgx.Conn, company, id string) {
	t.Helper()
	ctx := scoped()
	err := pgx.BeginFunc(ctx, conn, func(tx pgx.Tx) error {
		for _, sql := range []string{
			`set local wattle.company = '` + company + `'`, `set local wattle.writes = '*'`, `set local wattle.quotes = '*'`,
			`insert into quote (company, id, created_at, as_of, valid_until, book_revision, book_hash, rules_version,
				fingerprint_version, fingerprint, currency, total)
			values ('` + company + `', '` + id + `', '2026-03-01T12:00:00Z', '2026-03-01', '2026-03-31', 0, sha256('a'), 3, 1, sha256('{}'), 'USD', 1)`,
			`insert into quote_document (company, quote_id, document) values ('` + company + `', '` + id + `', '{}')`,
		} {
			if _, err := tx.Exec(ctx, sql); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatalf("quote %s of %s: %v", id, company, err)
	}
}

// Quotes that were there become drafts, and can be issued like any other. Programs
// of before are let in no more, so none come after.
func TestOldQuotesBecomeDrafts(t *testing.T) {
	t.Parallel()
	ctx := scoped()
	db := pgtest.New(t, pgtest.Schema{Hash: "empty"})
	config, err := pgx.ParseConfig(db.OwnerURL())
	if err != nil {
		t.Fatal(err)
	}
	owner := stdlib.OpenDB(*config)
	defer func() { _ = owner.Close() }()
	provider, err := goose.NewProvider(goose.DialectPostgres, owner, migrations.Files, goose.WithDisableGlobalRegistry(true))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := provider.UpTo(ctx, beforeLife); err != nil {
		t.Fatal(err)
	}
	before := connect(t, db.OwnerURL())
	oldQuote(t, before, company, "q1")
	oldQuote(t, before, company, "q2")
	oldQuote(t, before, "larch", "q1")
	names := postgres.Roles{Owner: pgtest.Owner, Service: pgtest.Service, Worker: pgtest.Worker}
	if err := postgres.Migrate(ctx, db.OwnerURL(), names); err != nil {
		t.Fatal(err)
	}

	s := storetest.Open(t, db)
	for _, id := range []string{"q1", "q2"} {
		got, err := s.Quote(ctx, company, id)
		if want := estimating.Begin(id, made); err != nil || got.Life != want {
			t.Errorf("%s: %+v, %v; want %+v", id, got.Life, err, want)
		}
		issued, err := do(s, id, id, issue)
		if err != nil || issued.Life.State != quote.Issued || issued.Life.Sequence != 2 {
			t.Errorf("%s issued: %+v, %v", id, issued.Life, err)
		}
	}
	if n, err := s.ExpireQuotes(storetest.Context("larch"), "larch", ends.Add(time.Hour), 10); err != nil || n != 0 {
		t.Errorf("a draft of another company expired: %d, %v", n, err)
	}
}
