package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/estimating"
)

// entriesInOrder is a page of the book in the order of its export, one walk along
// price_entry_by_order. $1 company, $2 the last revision, $3 to $7 the place after
// which the page begins, $8 how many.
const entriesInOrder = `
select ` + entryColumns + `
from price_entry e
where e.company = $1 and e.revision <= $2
  and (e.revision, e.item, e.office, e.supplier, e.effective) > ($3, $4, $5, $6, $7)
order by e.revision, e.item, e.office, e.supplier, e.effective
limit $8`

// Entries are those after a place and up to a revision, by revision, item,
// office, supplier and effective date.
func (s *Store) Entries(ctx context.Context, r estimating.EntryRange) (entries []book.Entry, err error) {
	after := r.After
	if after.Item == "" { // no entry's, so this is before the next revision's first
		after.Revision++
	}
	err = s.within(ctx, r.Company, read, func(q querier) error {
		entries, err = collectEntries(q.Query(ctx, entriesInOrder, r.Company, int64(r.Until),
			int64(after.Revision), after.Item, after.Office, after.Supplier, after.Effective.Time(), r.Limit))
		return err
	})
	return entries, err
}

// CountEntries counts what revisions after one up to another brought, at any
// office, as they themselves say.
func (s *Store) CountEntries(ctx context.Context, company string, since, until book.Revision) (n int64, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		return q.QueryRow(ctx, `
			select coalesce(sum(entries), 0)::bigint from book_revision where company = $1 and revision > $2 and revision <= $3`,
			company, int64(since), int64(until)).Scan(&n)
	})
	return n, err
}

// itemsInOrder steps from one item to the next, by one descent of the primary key
// each. $1 company, $2 the item before, $3 how many.
const itemsInOrder = `
with recursive known as (
	(select e.item from price_entry e where e.company = $1 and e.item > $2 order by e.item limit 1)
	union all
	select next.item
	from known k
	cross join lateral (
		select e.item from price_entry e where e.company = $1 and e.item > k.item order by e.item limit 1
	) next
)
select item from known limit $3`

// Items are the next items after one that the book has ever had at the offices
// that the caller sees, by name.
func (s *Store) Items(ctx context.Context, company, after string, limit int) (items []string, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		rows, err := q.Query(ctx, itemsInOrder, company, after, limit)
		if err != nil {
			return err
		}
		items, err = pgx.CollectRows(rows, pgx.RowTo[string])
		return err
	})
	return items, err
}

// inRange is the condition of an estimating.QuoteRange, whose arguments are the
// first five. Its times are a stretch of quote_newest, as plain comparisons: one
// with a default in it would not reach the index under row-level security.
const inRange = `q.company = $1 and ($2 = '' or q.office = $2)
	and (cardinality($3::text[]) = 0 or s.state = any ($3))
	and q.created_at >= $4 and q.created_at < $5`

// endOfTime is later than every time that a request can name.
var endOfTime = time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC)

func rangeArgs(f estimating.QuoteRange) []any {
	states := make([]string, len(f.States))
	for i, state := range f.States {
		states[i] = string(state)
	}
	if f.Before.IsZero() {
		f.Before = endOfTime
	}
	return []any{f.Company, f.Office, states, f.From, f.Before}
}

// QuotesInOrder are quotes with their documents, oldest first: the one of the
// place and those after it.
func (s *Store) QuotesInOrder(ctx context.Context, f estimating.QuoteRange, from estimating.QuotePlace, limit int) (list []estimating.Record, err error) {
	err = s.within(ctx, f.Company, read, func(q querier) error {
		rows, err := q.Query(ctx, quotesInOrder, append(rangeArgs(f), from.CreatedAt, from.ID, limit)...)
		if err != nil {
			return err
		}
		list, err = pgx.CollectRows(rows, scanQuote)
		return err
	})
	return list, err
}

// quotesInOrder reads quote_newest backwards.
const quotesInOrder = `
select ` + quoteColumns + `, d.document
from ` + quoteTables + `
join quote_document d on d.company = q.company and d.quote_id = q.id
where ` + inRange + ` and (q.created_at, q.id) >= ($6, $7)
order by q.created_at, q.id
limit $8`

// CountQuotes counts those of a range that the caller sees.
func (s *Store) CountQuotes(ctx context.Context, f estimating.QuoteRange) (n int64, err error) {
	err = s.within(ctx, f.Company, read, func(q querier) error {
		return q.QueryRow(ctx, `
			select count(*) from quote q join quote_state s on s.company = q.company and s.quote_id = q.id
			where `+inRange, rangeArgs(f)...).Scan(&n)
	})
	return n, err
}
