package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/jobs"
)

// impactChunk is how many quotes a chunk has.
const impactChunk = 500

// lockImpact is held by whoever takes a step of a revision's impact, or stores a
// chunk of it.
func lockImpact(ctx context.Context, q querier, company string, r book.Revision) error {
	return lockName(ctx, q, fmt.Sprintf("impact/%s/%d", company, r))
}

// AdvanceImpact takes the next step.
func (s *Store) AdvanceImpact(ctx context.Context, company string, r book.Revision, now time.Time) error {
	return s.within(ctx, company, write, func(q querier) error {
		if err := lockImpact(ctx, q, company, r); err != nil {
			return err
		}
		var done, busy bool
		err := q.QueryRow(ctx, `select exists (select from impact_done where company = $1 and revision = $2), `+chunkLeft,
			company, int64(r)).Scan(&done, &busy)
		if err != nil || done || busy {
			return err
		}
		_, err = q.Exec(ctx, `
			insert into impact (company, revision, as_of)
			select r.company, r.revision, greatest(
				($3::timestamptz at time zone coalesce((select nullif(o.time_zone, '') from office o where o.company = $1 and o.office = 'main'), 'UTC'))::date,
				(select max(e.effective) from price_entry e where e.company = $1 and e.revision = $2))
			from book_revision r
			where r.company = $1 and r.revision = $2
			on conflict on constraint impact_pkey do nothing`, company, int64(r), now)
		if err != nil {
			return err
		}
		chunks, err := makeChunks(ctx, q, company, r, now)
		if err != nil {
			return err
		}
		if len(chunks) > 0 {
			return enqueue(ctx, q, chunks...)
		}
		if _, err := q.Exec(ctx, `insert into impact_done (company, revision) values ($1, $2)`, company, int64(r)); err != nil {
			return err
		}
		return emitImpact(ctx, q, company, r)
	})
}

// emitImpact tells of a revision's impact whoever is told of its import.
func emitImpact(ctx context.Context, q querier, company string, r book.Revision) error {
	e := estimating.Event{Company: company, Type: estimating.PricesImpact, Subject: "companies/" + company + "/book", Sequence: int64(r)}
	err := q.QueryRow(ctx, `
		select coalesce((select office from event where company = $1 and subject = $2 and sequence = $3 and type = $4), $5)`,
		company, e.Subject, e.Sequence, estimating.PricesImported, book.MainOffice).Scan(&e.Office)
	if err != nil {
		return err
	}
	return emit(ctx, q, e)
}

// chunkLeft reports whether a chunk is not done yet. $1 company, $2 revision.
const chunkLeft = `exists (
	select from impact_chunk c
	where c.company = $1 and c.revision = $2
	  and not exists (select from impact_chunk_done d where d.company = c.company and d.revision = c.revision and d.chunk = c.chunk))`

// openQuote says of quote q and its state s that it is open at $4.
const openQuote = `(s.state = 'draft' and q.valid_until >= ($4::timestamptz at time zone 'UTC')::date or s.state = 'issued' and s.expires_at > $4)`

// makeChunks stores chunks of the quotes to look at that are in none yet, those
// made from the book before the revision, and gives their jobs. A quote that
// was being made while the revision came in is found when the chunks before are
// done.
func makeChunks(ctx context.Context, q querier, company string, r book.Revision, now time.Time) ([]jobs.Args, error) {
	rows, err := q.Query(ctx, `
		with listed as materialized (
			select distinct item from price_entry where company = $1 and revision = $2
		), asking as materialized (
			select distinct i.quote_id from listed l join quote_item i on i.company = $1 and i.item = l.item
		), waiting as (
			select q.id
			from asking a
			join quote q on q.company = $1 and q.id = a.quote_id
			join quote_state s on s.company = $1 and s.quote_id = a.quote_id
			where q.book_revision < $2 and `+openQuote+`
			except
			select unnest(quotes) from impact_chunk where company = $1 and revision = $2
		), numbered as (
			select id, (row_number() over (order by id) - 1) / $3 as part from waiting
		)
		insert into impact_chunk (company, revision, chunk, quotes)
		select $1, $2, part + 1 + (select count(*) from impact_chunk where company = $1 and revision = $2), array_agg(id order by id)
		from numbered
		group by part
		returning chunk`, company, int64(r), impactChunk, now)
	if err != nil {
		return nil, err
	}
	numbers, err := pgx.CollectRows(rows, pgx.RowTo[int])
	args := make([]jobs.Args, len(numbers))
	for i, n := range numbers {
		args[i] = jobs.ImpactChunk{Company: company, Revision: int64(r), Chunk: n}
	}
	return args, err
}

// ImpactChunk is the quotes of a chunk that are still open.
func (s *Store) ImpactChunk(ctx context.Context, company string, r book.Revision, chunk int, now time.Time) (work estimating.ImpactWork, due bool, err error) {
	err = s.within(ctx, company, readOnce, func(q querier) error {
		if due, err = chunkDue(ctx, q, company, r, chunk); err != nil || !due {
			return err
		}
		if work.AsOf, err = impactDay(ctx, q, company, r); err != nil {
			return err
		}
		if work.Tree, err = treeOf(ctx, q, company); err != nil {
			return err
		}
		rows, err := q.Query(ctx, `
			select q.id, q.office, q.currency, q.rules_version,
			       array(select i.item from quote_item i where i.company = $1 and i.quote_id = q.id order by i.item)
			from (select unnest(quotes) as id from impact_chunk where company = $1 and revision = $2 and chunk = $3) c
			join quote q on q.company = $1 and q.id = c.id
			join quote_state s on s.company = $1 and s.quote_id = c.id
			where `+openQuote+`
			order by q.id`, company, int64(r), chunk, now)
		if err != nil {
			return err
		}
		work.Quotes, err = pgx.CollectRows(rows, pgx.RowToStructByPos[estimating.OpenQuote])
		return err
	})
	return work, due, err
}

func chunkDue(ctx context.Context, q querier, company string, r book.Revision, chunk int) (due bool, err error) {
	err = q.QueryRow(ctx, `select not exists (select from impact_chunk_done where company = $1 and revision = $2 and chunk = $3)`,
		company, int64(r), chunk).Scan(&due)
	return due, err
}

// QuoteDocuments are the documents of some quotes.
func (s *Store) QuoteDocuments(ctx context.Context, company string, ids []string) (map[string][]byte, error) {
	documents := make(map[string][]byte, len(ids))
	err := s.within(ctx, company, read, func(q querier) error {
		rows, err := q.Query(ctx, `select quote_id, document from quote_document where company = $1 and quote_id = any ($2)`, company, ids)
		if err != nil {
			return err
		}
		type row struct {
			ID       string
			Document []byte
		}
		found, err := pgx.CollectRows(rows, pgx.RowToStructByPos[row])
		for _, r := range found {
			documents[r.ID] = r.Document
		}
		return err
	})
	return documents, err
}

// RecordImpact stores what a chunk came to, once.
func (s *Store) RecordImpact(ctx context.Context, company string, r book.Revision, chunk int, found []estimating.Impact) error {
	return s.within(ctx, company, write, func(q querier) error {
		if err := lockImpact(ctx, q, company, r); err != nil {
			return err
		}
		if due, err := chunkDue(ctx, q, company, r, chunk); err != nil || !due {
			return err
		}
		batch := &pgx.Batch{}
		for _, i := range found {
			thenCost, thenTotal := figures(i.Then)
			nowCost, nowTotal := figures(i.Now)
			batch.Queue(`
				insert into impact_quote (company, revision, quote_id, office, currency, then_cost, then_total, now_cost, now_total, missing, reason)
				values ($1, $2, $3, $4, $5, $6::text::numeric, $7::text::numeric, $8::text::numeric, $9::text::numeric, coalesce($10::text[], '{}'), $11)`,
				company, int64(r), i.Quote, i.Office, string(i.Currency), thenCost, thenTotal, nowCost, nowTotal, i.Missing, i.Reason)
		}
		batch.Queue(`insert into impact_chunk_done (company, revision, chunk) values ($1, $2, $3)`, company, int64(r), chunk)
		if err := q.SendBatch(ctx, batch).Close(); err != nil {
			return err
		}
		var left bool
		if err := q.QueryRow(ctx, `select `+chunkLeft, company, int64(r)).Scan(&left); err != nil || left {
			return err
		}
		return enqueue(ctx, q, jobs.Impact{Company: company, Revision: int64(r)})
	})
}

// figures are null where there are none.
func figures(f *estimating.ImpactFigures) (cost, total *string) {
	if f == nil {
		return nil, nil
	}
	return new(f.Cost.String()), new(f.Total.String())
}
