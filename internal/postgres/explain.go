package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
)

// considered finds, as inForce does and with its parameters, what is told of in
// an explanation: of every supplier of a pair, the entry in force and the one
// that would hold without it, and the first that holds later.
const considered = `
with recursive
` + sellers + `
select s.place, held.*
from seller s
cross join lateral (
	select ` + entryColumns + `
	from price_entry e
	where e.company = $1 and e.item = s.item and e.office = s.office and e.supplier = s.supplier
	  and e.effective <= $5 and e.revision <= $6
	order by e.effective desc, e.revision desc
	limit 2
) held
union all
select s.place, coming.*
from seller s
cross join lateral (
	select ` + entryColumns + `
	from price_entry e
	where e.company = $1 and e.item = s.item and e.office = s.office and e.supplier = s.supplier
	  and e.effective > $5 and e.revision <= $6
	order by e.effective, e.revision desc
	limit 1
) coming`

// Explain answers every item of the query with its reasons, in the order asked.
func (s *Store) Explain(ctx context.Context, q book.Query, wishes map[string]book.Wish) (out []book.Explained, head book.Head, err error) {
	err = s.within(ctx, q.Company, read, func(db querier) error {
		if head, err = asked(ctx, db, &q); err != nil {
			return err
		}
		resolved, err := resolve(ctx, db, q)
		if err != nil {
			return err
		}
		found, err := searchSeries(ctx, db, q)
		if err != nil {
			return err
		}
		out = make([]book.Explained, len(resolved))
		for i, r := range resolved {
			out[i] = r.Explain(found[i], q, wishes[r.Item])
		}
		return nil
	})
	return out, head, err
}

// searchSeries is what considered finds, by the item's place in the query.
func searchSeries(ctx context.Context, db querier, q book.Query) ([][]book.Series, error) {
	items, offices, places := pairs(q)
	rows, err := db.Query(ctx, considered, q.Company, items, offices, places, q.AsOf.Time(), int64(q.Revision))
	if err != nil {
		return nil, err
	}
	type placed struct {
		Place int
		entryRow
	}
	all, err := pgx.CollectRows(rows, pgx.RowToStructByPos[placed])
	if err != nil {
		return nil, err
	}
	type seller struct {
		place            int
		office, supplier string
	}
	at := make(map[seller]*book.Series)
	for _, row := range all {
		e, err := row.entry()
		if err != nil {
			return nil, err
		}
		key := seller{row.Place, e.Office, e.Supplier}
		if at[key] == nil {
			at[key] = &book.Series{}
		}
		at[key].Add(e, q)
	}
	found := make([][]book.Series, len(q.Items))
	for key, s := range at {
		found[key.place] = append(found[key.place], *s)
	}
	return found, nil
}
