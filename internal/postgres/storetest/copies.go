package storetest

import (
	"context"
	"testing"

	"github.com/jackc/pgx/v5"

	"wattle/internal/postgres/pgtest"
)

// Copies makes n more drafts of a company's draft, straight in the tables, for
// work on many quotes. They are named copy-0000001 and so on.
func Copies(t testing.TB, db *pgtest.DB, company, quote string, n int) {
	t.Helper()
	ctx := context.Background()
	admin, err := pgx.Connect(ctx, db.AdminURL())
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = admin.Close(ctx) }() // nothing is pending
	const id = `'copy-' || to_char(i, 'FM0000000')`
	statements := []string{
		`insert into quote (company, id, office, customer, external_ref, created_at, as_of, valid_until, book_revision, book_hash,
			rules_version, fingerprint_version, fingerprint, currency, total, saved_spec)
		select company, ` + id + `, office, customer, external_ref, created_at, as_of, valid_until, book_revision, book_hash,
			rules_version, fingerprint_version, fingerprint, currency, total, saved_spec
		from quote, generate_series(1, $3) i where company = $1 and id = $2`,
		`insert into quote_document (company, quote_id, office, document)
		select company, ` + id + `, office, document from quote_document, generate_series(1, $3) i where company = $1 and quote_id = $2`,
		`insert into quote_transition (company, quote_id, sequence, office, action, to_state, at)
		select company, ` + id + `, 1, office, 'create', 'draft', created_at from quote, generate_series(1, $3) i where company = $1 and id = $2`,
		`insert into quote_state (company, quote_id, office, root, revision_number, option_group, state, sequence, updated_at)
		select company, ` + id + `, office, ` + id + `, 1, ` + id + `, 'draft', 1, created_at from quote, generate_series(1, $3) i where company = $1 and id = $2`,
		`insert into quote_item (company, item, quote_id, office)
		select company, item, ` + id + `, office from quote_item, generate_series(1, $3) i where company = $1 and quote_id = $2`,
	}
	err = pgx.BeginFunc(ctx, admin, func(tx pgx.Tx) error {
		for _, sql := range statements {
			if _, err := tx.Exec(ctx, sql, company, quote, n); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, table := range []string{"quote", "quote_document", "quote_state", "quote_item"} {
		if _, err := admin.Exec(ctx, `analyze `+table); err != nil {
			t.Fatal(err)
		}
	}
}
