package postgres

import (
	"cmp"
	"context"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// QuoteByRequest is the quote that an earlier call with this key made.
func (s *Store) QuoteByRequest(ctx context.Context, key estimating.RequestKey) (r estimating.Record, err error) {
	err = s.within(ctx, key.Company, read, func(q querier) error {
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if was == nil {
			return fault.New(fault.NotFound, "REQUEST_NOT_FOUND", "no call with this request id has succeeded")
		}
		r, err = quoteByID(ctx, q, key.Company, was.Quote)
		return err
	})
	return r, err
}

// InsertQuote stores the quote and the key in one transaction. Of several calls
// with one key, one stores its quote and all get that.
func (s *Store) InsertQuote(ctx context.Context, key estimating.RequestKey, r estimating.Record) (kept estimating.Record, err error) {
	err = s.within(ctx, r.Company, write, func(q querier) error {
		first, err := claim(ctx, q, key, result{Quote: r.ID})
		if err != nil {
			return err
		}
		if first {
			kept, kept.Life = r, estimating.Begin(r.ID, r.CreatedAt)
			return insertQuote(ctx, q, key, kept)
		}
		was, err := earlier(ctx, q, key)
		if err != nil {
			return err
		}
		if was == nil {
			return lostRequest()
		}
		kept, err = quoteByID(ctx, q, r.Company, was.Quote)
		return err
	})
	return kept, err
}

// Quote is one stored quote with its document.
func (s *Store) Quote(ctx context.Context, company, id string) (r estimating.Record, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		r, err = quoteByID(ctx, q, company, id)
		return err
	})
	return r, err
}

// ListQuotes is newest first, by time and then id, without documents.
func (s *Store) ListQuotes(ctx context.Context, f estimating.QuoteFilter) (list []estimating.Record, err error) {
	states := make([]string, len(f.States))
	for i, state := range f.States {
		states[i] = string(state)
	}
	err = s.within(ctx, f.Company, read, func(q querier) error {
		rows, err := q.Query(ctx, `
			select `+quoteColumns+`, null::bytea
			from `+quoteTables+`
			where q.company = $1
			  and ($2 = '' or q.external_ref = $2)
			  and ($3 = '' or q.customer = $3)
			  and ($7 = '' or q.office = $7)
			  and ($4::timestamptz is null or (q.created_at, q.id) < ($4, $5))
			  and (cardinality($8::text[]) = 0 or s.state = any ($8))
			  and ($9::timestamptz is null or s.updated_at >= $9)
			  and ($10 = '' or s.root = $10)
			  and ($11 = '' or s.option_group = $11)
			order by q.created_at desc, q.id desc
			limit $6`, f.Company, f.ExternalRef, f.Customer, orNull(f.BeforeCreatedAt), f.BeforeID, f.Limit, f.Office,
			states, orNull(f.UpdatedSince), f.Root, f.OptionGroup)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, scanQuote)
		return err
	})
	return list, err
}

func quoteByID(ctx context.Context, q querier, company, id string) (estimating.Record, error) {
	rows, err := q.Query(ctx, `
		select `+quoteColumns+`, d.document
		from `+quoteTables+`
		join quote_document d on d.company = q.company and d.quote_id = q.id
		where q.company = $1 and q.id = $2`, company, id)
	if err != nil {
		return estimating.Record{}, err
	}
	r, err := pgx.CollectExactlyOneRow(rows, scanQuote)
	if errors.Is(err, pgx.ErrNoRows) {
		return r, noQuote(company, id)
	}
	return r, err
}

func noQuote(company, id string) error {
	return fault.New(fault.NotFound, "QUOTE_NOT_FOUND", "there is no quote %q", id).
		About("quote", "companies/"+company+"/quotes/"+id)
}

// quotesByID are the quotes there are of these, by id and without documents.
func quotesByID(ctx context.Context, q querier, company string, ids []string) ([]estimating.Record, error) {
	rows, err := q.Query(ctx, `
		select `+quoteColumns+`, null::bytea
		from `+quoteTables+`
		where q.company = $1 and q.id = any ($2)
		order by q.id`, company, ids)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, scanQuote)
}

// quoteTables are a quote, where it stands, what brought it there, and the quote
// that revises it.
const quoteTables = `quote q
	join quote_state s on s.company = q.company and s.quote_id = q.id
	join quote_transition t on t.company = s.company and t.quote_id = s.quote_id and t.sequence = s.sequence
	left join quote_state n on n.company = q.company and n.revises = q.id`

// quoteColumns are the columns of quoteTables in the order of scanQuote, which
// wants the document after them.
const quoteColumns = `q.company, q.id, q.office, q.customer, q.external_ref, q.created_at, q.as_of, q.valid_until,
	q.book_revision, q.book_hash, q.rules_version, q.fingerprint_version, q.fingerprint, q.currency, q.total::text, q.saved_spec,
	s.state, s.sequence, s.updated_at, s.expires_at, s.root, s.revision_number, coalesce(s.revises, ''), coalesce(n.quote_id, ''),
	coalesce(s.changes, ''), s.option_group, coalesce(t.decided_by, ''), t.reference, t.decided_on`

func scanQuote(row pgx.CollectableRow) (estimating.Record, error) {
	var r estimating.Record
	var asOf, validUntil time.Time
	var bookHash, fingerprint []byte
	var currency, total string
	l := &r.Life
	var expiresAt, decidedOn *time.Time
	err := row.Scan(&r.Company, &r.ID, &r.Office, &r.Customer, &r.ExternalRef, &r.CreatedAt, &asOf, &validUntil,
		&r.Head.Revision, &bookHash, &r.RulesVersion, &r.FingerprintVersion, &fingerprint, &currency, &total, &r.SavedSpec,
		&l.State, &l.Sequence, &l.UpdatedAt, &expiresAt, &l.Root, &l.RevisionNumber, &l.Revises, &l.SupersededBy,
		&l.Changes, &l.OptionGroup, &l.Decision.By, &l.Decision.Reference, &decidedOn, &r.Document)
	if err != nil {
		return r, err
	}
	r.CreatedAt, l.UpdatedAt = r.CreatedAt.UTC(), l.UpdatedAt.UTC()
	l.ExpiresAt = timeOf(expiresAt)
	if decidedOn != nil {
		l.Decision.On = civil.Of(*decidedOn)
	}
	r.AsOf, r.ValidUntil = civil.Of(asOf), civil.Of(validUntil)
	r.Head.Hash, r.Fingerprint = [32]byte(bookHash), [32]byte(fingerprint)
	r.Currency = money.Currency(currency)
	r.Total, err = money.ParseDecimal(total)
	return r, err
}

func insertQuote(ctx context.Context, q querier, key estimating.RequestKey, r estimating.Record) error {
	batch := &pgx.Batch{} // one way to the server for all
	batch.Queue(`
		insert into quote (company, id, office, customer, external_ref, created_at, as_of, valid_until,
			book_revision, book_hash, rules_version, fingerprint_version, fingerprint, currency, total, saved_spec)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15::text::numeric, $16)`,
		r.Company, r.ID, cmp.Or(r.Office, book.MainOffice), r.Customer, r.ExternalRef, r.CreatedAt.UTC(), r.AsOf.Time(), r.ValidUntil.Time(),
		int64(r.Head.Revision), r.Head.Hash[:], r.RulesVersion, r.FingerprintVersion, r.Fingerprint[:], string(r.Currency), r.Total.String(), r.SavedSpec)
	batch.Queue(`insert into quote_document (company, quote_id, office, document) values ($1, $2, $3, $4)`,
		r.Company, r.ID, cmp.Or(r.Office, book.MainOffice), r.Document)
	batch.Queue(`insert into quote_item (company, item, quote_id, office) select $1, item, $2, $3 from unnest($4::text[]) as item`,
		r.Company, r.ID, cmp.Or(r.Office, book.MainOffice), r.Items)
	queueLife(batch, r, key.Principal)
	if err := q.SendBatch(ctx, batch).Close(); err != nil {
		return err
	}
	return emitQuote(ctx, q, r)
}
