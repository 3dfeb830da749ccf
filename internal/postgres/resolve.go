package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/civil"
)

// inForce finds, for every pair of item and office asked for and every supplier
// there, the entry in force: the latest effective date not after the as-of
// date, then the highest revision not after the query's. $1 company, $2 items,
// $3 an office for each, $4 the item's place in the answer, $5 as-of date, $6
// revision. (Pairs, because the planner takes an unknown array for ten rows: of
// two crossed ones it would think ten times worse, and plan anew every time.)
//
// The last entry of a supplier, which sellers has found, mostly is that. Where it
// holds only later, or was learned later, one more descent of the primary key reads
// backwards from the first date that can matter, which latest_effective gives. So
// a supplier costs the same however long the history is.
const inForce = `
with recursive
known as (
	select least($5::date, (select r.latest_effective from book_revision r where r.company = $1 and r.revision = $6)) as as_of
),
` + sellers + `
select e.place, ` + entryColumns + ` from seller e where e.effective <= $5 and e.revision <= $6
union all
select s.place, newest.*
from seller s
cross join lateral (
	select ` + entryColumns + `
	from price_entry e
	where e.company = $1 and e.item = s.item and e.office = s.office and e.supplier = s.supplier
	  and e.effective <= (select as_of from known) and e.revision <= $6
	order by e.effective desc, e.revision desc
	limit 1
) newest
where not (s.effective <= $5 and s.revision <= $6)`

// sellers walks, for every pair of item and office asked for, from one supplier
// that has an entry there to the one before, and gives of each the last entry: of
// the latest effective date, the highest revision. A descent reads what is left of
// a page of the index, however little is asked for, so it is asked for once what a
// supplier is found by and what mostly is wanted of it.
const sellers = `seller as (
	select a.place, last.*
	from unnest($2::text[], $3::text[], $4::bigint[]) as a (item, office, place)
	cross join lateral (
		select e.* from price_entry e
		where e.company = $1 and e.item = a.item and e.office = a.office
		order by e.supplier desc, e.effective desc, e.revision desc
		limit 1
	) last
	union all
	select s.place, before.*
	from seller s
	cross join lateral (
		select e.* from price_entry e
		where e.company = $1 and e.item = s.item and e.office = s.office and e.supplier < s.supplier
		order by e.supplier desc, e.effective desc, e.revision desc
		limit 1
	) before
)`

// nextPriced finds the first later date from which an item has a price; it is
// asked only to word why an item has none. $1 company, $2 items, $3 offices, $4
// as-of date, $5 revision.
const nextPriced = `
select e.item, min(e.effective)
from price_entry e
where e.company = $1 and e.item = any ($2) and e.office = any ($3)
  and e.effective > $4 and e.revision <= $5 and e.state = 'priced'
group by e.item`

// Resolve answers every item of the query, in the order asked.
func (s *Store) Resolve(ctx context.Context, q book.Query) (out []book.Resolved, head book.Head, err error) {
	err = s.within(ctx, q.Company, read, func(db querier) error {
		if head, err = asked(ctx, db, &q); err != nil {
			return err
		}
		out, err = resolve(ctx, db, q)
		return err
	})
	return out, head, err
}

// asked is the head that a query is answered at, whose revision it sets. The head
// is read first, then rows by revision: what is committed in between has a higher
// revision.
func asked(ctx context.Context, db querier, q *book.Query) (head book.Head, err error) {
	if q.Revision == book.Newest {
		head, err = currentHead(ctx, db, q.Company)
	} else {
		head, err = headAt(ctx, db, q.Company, q.Revision)
	}
	q.Revision = head.Revision
	return head, err
}

func resolve(ctx context.Context, db querier, q book.Query) ([]book.Resolved, error) {
	found, err := search(ctx, db, q)
	if err != nil {
		return nil, err
	}
	out := make([]book.Resolved, len(found))
	var missing []string
	for i, f := range found {
		if out[i] = f.Resolve(q); len(out[i].Offers) == 0 {
			missing = append(missing, f.Item)
		}
	}
	if len(missing) == 0 {
		return out, nil
	}
	next, err := nextDates(ctx, db, q, missing)
	if err != nil {
		return nil, err
	}
	for i, f := range found {
		if len(out[i].Offers) == 0 {
			f.Next = next[f.Item]
			out[i] = f.Resolve(q)
		}
	}
	return out, nil
}

func search(ctx context.Context, db querier, q book.Query) ([]book.Found, error) {
	found := make([]book.Found, len(q.Items))
	for i, item := range q.Items {
		found[i].Item = item
	}
	items, offices, places := pairs(q)
	rows, err := db.Query(ctx, inForce, q.Company, items, offices, places, q.AsOf.Time(), int64(q.Revision))
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
		found[w.Place].InForce = append(found[w.Place].InForce, e)
	}
	return found, nil
}

// pairs are every item and office of the query, with the item's place in it.
func pairs(q book.Query) (items, offices []string, places []int) {
	for i, item := range q.Items {
		for _, office := range q.Offices {
			items, offices, places = append(items, item), append(offices, office), append(places, i)
		}
	}
	return items, offices, places
}

func nextDates(ctx context.Context, db querier, q book.Query, items []string) (map[string]civil.Date, error) {
	rows, err := db.Query(ctx, nextPriced, q.Company, items, q.Offices, q.AsOf.Time(), int64(q.Revision))
	if err != nil {
		return nil, err
	}
	type first struct {
		Item string
		Date time.Time
	}
	found, err := pgx.CollectRows(rows, pgx.RowToStructByPos[first])
	next := make(map[string]civil.Date, len(found))
	for _, f := range found {
		next[f.Item] = civil.Of(f.Date)
	}
	return next, err
}
