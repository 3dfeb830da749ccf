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
			kept = r
			return insertQuote(ctx, q, r)
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
	var before *time.Time
	if !f.BeforeCreatedAt.IsZero() {
		before = &f.BeforeCreatedAt
	}
	err = s.within(ctx, f.Company, read, func(q querier) error {
		rows, err := q.Query(ctx, `
			select `+quoteColumns+`, null::bytea
			from quote q
			where q.company = $1
			  and ($2 = '' or q.external_ref = $2)
			  and ($3 = '' or q.customer = $3)
			  and ($7 = '' or q.office = $7)
			  and ($4::timestamptz is null or (q.created_at, q.id) < ($4, $5))
			order by q.created_at desc, q.id desc
			limit $6`, f.Company, f.ExternalRef, f.Customer, before, f.BeforeID, f.Limit, f.Office)
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
		from quote q
		join quote_document d on d.company = q.company and d.quote_id = q.id
		where q.company = $1 and q.id = $2`, company, id)
	if err != nil {
		return estimating.Record{}, err
	}
	r, err := pgx.CollectExactlyOneRow(rows, scanQuote)
	if errors.Is(err, pgx.ErrNoRows) {
		return r, fault.New(fault.NotFound, "QUOTE_NOT_FOUND", "there is no quote %q", id).
			About("quote", "companies/"+company+"/quotes/"+id)
	}
	return r, err
}

// quoteColumns are the columns of quote as q in the order of scanQuote, which
// wants the document after them.
const quoteColumns = `q.company, q.id, q.office, q.customer, q.external_ref, q.created_at, q.as_of, q.valid_until,
	q.book_revision, q.book_hash, q.rules_version, q.fingerprint_version, q.fingerprint, q.currency, q.total::text, q.saved_spec`

func scanQuote(row pgx.CollectableRow) (estimating.Record, error) {
	var r estimating.Record
	var asOf, validUntil time.Time
	var bookHash, fingerprint []byte
	var currency, total string
	err := row.Scan(&r.Company, &r.ID, &r.Office, &r.Customer, &r.ExternalRef, &r.CreatedAt, &asOf, &validUntil,
		&r.Head.Revision, &bookHash, &r.RulesVersion, &r.FingerprintVersion, &fingerprint, &currency, &total, &r.SavedSpec, &r.Document)
	if err != nil {
		return r, err
	}
	r.CreatedAt = r.CreatedAt.UTC()
	r.AsOf, r.ValidUntil = civil.Of(asOf), civil.Of(validUntil)
	r.Head.Hash, r.Fingerprint = [32]byte(bookHash), [32]byte(fingerprint)
	r.Currency = money.Currency(currency)
	r.Total, err = money.ParseDecimal(total)
	return r, err
}

func insertQuote(ctx context.Context, q querier, r estimating.Record) error {
	batch := &pgx.Batch{} // one way to the server for both
	batch.Queue(`
		insert into quote (company, id, office, customer, external_ref, created_at, as_of, valid_until,
			book_revision, book_hash, rules_version, fingerprint_version, fingerprint, currency, total, saved_spec)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15::text::numeric, $16)`,
		r.Company, r.ID, cmp.Or(r.Office, book.MainOffice), r.Customer, r.ExternalRef, r.CreatedAt.UTC(), r.AsOf.Time(), r.ValidUntil.Time(),
		int64(r.Head.Revision), r.Head.Hash[:], r.RulesVersion, r.FingerprintVersion, r.Fingerprint[:], string(r.Currency), r.Total.String(), r.SavedSpec)
	batch.Queue(`insert into quote_document (company, quote_id, office, document) values ($1, $2, $3, $4)`,
		r.Company, r.ID, cmp.Or(r.Office, book.MainOffice), r.Document)
	return q.SendBatch(ctx, batch).Close()
}
