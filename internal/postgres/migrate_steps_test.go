package postgres_test

import (
	"context"
	"database/sql"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"

	"wattle/internal/book"
	"wattle/internal/postgres"
	"wattle/internal/postgres/pgtest"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
	"wattle/migrations"
)

// The schema that the first rows below are of.
const firstStep = 5

// Each migration is applied to a database in use: what was there before it is
// there after it, and in the end the program works with all of it.
func TestMigrationsStepByStepWithDataInPlace(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t, pgtest.Schema{Hash: "empty"})
	names := postgres.Roles{Owner: pgtest.Owner, Service: pgtest.Service, Worker: pgtest.Worker}
	if err := postgres.EnsureRoles(t.Context(), db.AdminURL(), names); err != nil {
		t.Fatal(err)
	}
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
	if _, err := provider.UpTo(t.Context(), firstStep); err != nil {
		t.Fatal(err)
	}
	document, head := corpusQuote(t)
	fillStep(t, owner, document, head)
	before := rowsHeld(t, owner)
	if len(before) < 6 {
		t.Fatalf("only %d tables hold rows: %v", len(before), before)
	}
	for step := int64(firstStep + 1); step <= migrations.Latest(); step++ {
		if _, err := provider.UpTo(t.Context(), step); err != nil {
			t.Fatalf("migration %d: %v", step, err)
		}
		for table, want := range before {
			if got := rowsHeld(t, owner)[table]; got != want {
				t.Errorf("after migration %d table %s holds %d rows, and held %d", step, table, got, want)
			}
		}
	}
	// Once more as an operator does it, with River's own and the grants.
	if err := postgres.Migrate(t.Context(), db.OwnerURL(), names); err != nil {
		t.Fatal(err)
	}
	s := storetest.Open(t, db)
	if got := price(t, s, "post", "2026-03-01", 1); got != "10.00" {
		t.Errorf("the price is %s", got)
	}
	if got := verify(t, s, head); got != "" {
		t.Errorf("the book does not verify: %s", got)
	}
	kept, err := s.Quote(scoped(), company, "q1")
	if err != nil || string(kept.Document) != string(document) || kept.Life.State != quote.Draft {
		t.Errorf("the quote: %v, %v", kept.Life, err)
	}
	if different, err := quote.Replay(kept.Document); err != nil || len(different) > 0 {
		t.Errorf("the quote does not replay: %v, %v", different, err)
	}
	first := storetest.Key(t, s, company, "main", "admin") // the company has its place in the tree
	if c := caller(t, s, first); c.Office != "main" {
		t.Errorf("caller %v", c)
	}
	if tree := caller(t, s, first).Tree; fmt.Sprint(tree.Path("north")) != "[north main]" {
		t.Errorf("the office that had a quote stands at %v", tree.Path("north"))
	}
}

// corpusQuote is a document of the corpus, and the head of a book of one price.
func corpusQuote(t *testing.T) ([]byte, book.Head) {
	t.Helper()
	files, err := filepath.Glob("../../testdata/fingerprints/*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("no corpus: %v", err)
	}
	document, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	in := list(t, book.Patch, "post 2026-01-01 10.00")
	in.Entries[0].Office = "main"
	return document, book.Head{}.Next(company, book.ContentHash(in.Entries))
}

// fillStep are rows as a program of that schema wrote them.
func fillStep(t *testing.T, owner *sql.DB, document []byte, head book.Head) {
	t.Helper()
	in := list(t, book.Patch, "post 2026-01-01 10.00")
	in.Entries[0].Office = "main"
	content := book.ContentHash(in.Entries)
	sum := quote.Fingerprint(document)
	for _, statement := range []struct {
		sql  string
		args []any
	}{
		{`insert into book_head values ($1, 1, $2)`, []any{company, head.Hash[:]}},
		{`insert into book_revision (company, revision, principal, request_id, mode, entries, latest_effective, content_hash, chain_hash)
			values ($1, 1, 'local', 'i1', 'patch', 1, '2026-01-01', $2, $3)`, []any{company, content[:], head.Hash[:]}},
		{`insert into price_entry (company, item, office, effective, revision, state, currency, unit, pack, min_quantities, prices)
			values ($1, 'post', 'main', '2026-01-01', 1, 'priced', 'USD', 'each', 1, '{0}', '{10.00}')`, []any{company}},
		{`insert into idempotency (company, principal, method, request_id, request_hash, result)
			values ($1, 'local', 'ImportPrices', 'i1', $2, '{"revision": 1, "applied": true}')`, []any{company, content[:]}},
		{`insert into quote (company, id, office, created_at, as_of, valid_until, book_revision, book_hash, rules_version, fingerprint_version, fingerprint, currency, total)
			values ($1, 'q1', 'north', '2026-03-01', '2026-03-01', '2026-03-31', 1, $2, 1, 1, $3, 'USD', 1)`, []any{company, head.Hash[:], sum[:]}},
		{`insert into quote_document (company, quote_id, office, document) values ($1, 'q1', 'north', $2)`, []any{company, document}},
		{`insert into saved_spec (company, name, version, created_at, rules_version, hash, document)
			values ($1, 'cedar', 1, '2026-03-01', 1, sha256('{}'), '{}')`, []any{company}},
	} {
		if _, err := owner.ExecContext(t.Context(), statement.sql, statement.args...); err != nil {
			t.Fatalf("%s: %v (%s)", statement.sql, err, hex.EncodeToString(sum[:4]))
		}
	}
}

// rowsHeld counts the rows of each table that has any. The owner is bound by no
// policy.
func rowsHeld(t *testing.T, owner *sql.DB) map[string]int {
	t.Helper()
	ctx := context.WithoutCancel(t.Context())
	found, err := owner.QueryContext(ctx, `select table_name from information_schema.columns where table_schema = 'public' and column_name = 'company'`)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = found.Close() }()
	var tables []string
	for found.Next() {
		var name string
		if err := found.Scan(&name); err != nil {
			t.Fatal(err)
		}
		tables = append(tables, name)
	}
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	rows := make(map[string]int)
	for _, name := range tables {
		var n int
		if err := owner.QueryRowContext(ctx, `select count(*) from `+pgx.Identifier{name}.Sanitize()).Scan(&n); err != nil {
			t.Fatal(err)
		}
		if n > 0 {
			rows[name] = n
		}
	}
	return rows
}
