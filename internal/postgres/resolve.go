package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/civil"
)

// inForce finds, for every item and office asked for and every supplier there,
// the entry in force: the latest effective date not after the as-of date, then
// the highest revision not after the query's. $1 company, $2 items, $3 offices,
// $4 as-of date, $5 revision.
//
// Each supplier costs one descent of the primary key to find it and one to find
// its entry, however long the history is: seller walks from one supplier to
// the next, and the last step reads the index backwards from the first date
// that can matter, which latest_effective gives.
const inForce = `
with recursive
known as (
	select least($4::date, (select r.latest_effective from book_revision r where r.company = $1 and r.revision = $5)) as as_of
),
asked as (
	select i.item, i.place, o.office
	from unnest($2::text[]) with ordinality as i (item, place)
	cross join unnest($3::text[]) as o (office)
),
seller as (
	select a.item, a.place, a.office, first.supplier
	from asked a
	cross join lateral (
		select e.supplier from price_entry e
		where e.company = $1 and e.item = a.item and e.office = a.office
		order by e.supplier
		limit 1
	) first
	union all
	select s.item, s.place, s.office, next.supplier
	from seller s
	cross join lateral (
		select e.supplier from price_entry e
		where e.company = $1 and e.item = s.item and e.office = s.office and e.supplier > s.supplier
		order by e.supplier
		limit 1
	) next
)
select s.place, newest.*
from seller s
cross join lateral (
	select ` + entryColumns + `
	from price_entry e
	where e.company = $1 and e.item = s.item and e.office = s.office and e.supplier = s.supplier
	  and e.effective <= (select as_of from known) and e.revision <= $5
	order by e.effective desc, e.revision desc
	limit 1
) newest`

// nextPriced finds the first later date from which an item has a price; it is
// asked only to word why an item has none. $2 items, the rest as above.
const nextPriced = `
select e.item, min(e.effective)
from price_entry e
where e.company = $1 and e.item = any ($2) and e.office = any ($3)
  and e.effective > $4 and e.revision <= $5 and e.state = 'priced'
group by e.item`

// Resolve answers every item of the query, in the order asked.
func (s *Store) Resolve(ctx context.Context, q book.Query) (out []book.Resolved, err error) {
	err = s.within(ctx, q.Company, read, func(db querier) error {
		// The head first, then rows by revision: what is committed in between
		// has a higher revision.
		if _, err := headAt(ctx, db, q.Company, q.Revision); err != nil {
			return err
		}
		found, err := search(ctx, db, q)
		if err != nil {
			return err
		}
		out = make([]book.Resolved, len(found))
		var missing []string
		for i, f := range found {
			if out[i] = f.Resolve(q); len(out[i].Offers) == 0 {
				missing = append(missing, f.Item)
			}
		}
		if len(missing) == 0 {
			return nil
		}
		next, err := nextDates(ctx, db, q, missing)
		if err != nil {
			return err
		}
		for i, f := range found {
			if len(out[i].Offers) == 0 {
				f.Next = next[f.Item]
				out[i] = f.Resolve(q)
			}
		}
		return nil
	})
	return out, err
}

func search(ctx context.Context, db querier, q book.Query) ([]book.Found, error) {
	found := make([]book.Found, len(q.Items))
	for i, item := range q.Items {
		found[i].Item = item
	}
	rows, err := db.Query(ctx, inForce, q.Company, q.Items, q.Offices, q.AsOf.Time(), int64(q.Revision))
	if err != nil {
		return nil, err
	}
	type placed struct {
		Place int
		entryRow
	}
	winners, err := pgx.CollectRows(rows, pgx.RowToStructByPos[placed])
	if err != nil {
		return nil, err
	}
	for _, w := range winners {
		e, err := w.entry()
		if err != nil {
			return nil, err
		}
		found[w.Place-1].InForce = append(found[w.Place-1].InForce, e)
	}
	return found, nil
}

func nextDates(ctx context.Context, db querier, q book.Query, items []string) (map[string]civil.Date, error) {
	rows, err := db.Query(ctx, nextPriced, q.Company, items, q.Offices, q.AsOf.Time(), int64(q.Revision))
	if err != nil {
		return nil, err
	}
	next := make(map[string]civil.Date)
	var item string
	var date time.Time
	_, err = pgx.ForEachRow(rows, []any{&item, &date}, func() error {
		next[item] = civil.Of(date)
		return nil
	})
	return next, err
}
