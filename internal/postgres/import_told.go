package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/civil"
)

// tell counts what was planned and lists the first of it.
func tell(ctx context.Context, q querier, out *book.Outcome) (sound bool, err error) {
	c := &out.Counts
	err = q.QueryRow(ctx, `
		select count(*) filter (where kind = 'added'), count(*) filter (where kind = 'repriced'),
		       count(*) filter (where kind = 'altered'), count(*) filter (where kind = 'withdrawn'),
		       count(*) filter (where kind = 'confirmed'), count(*) filter (where kind = 'unchanged'),
		       count(*) filter (where jumps), count(*) filter (where other_unit), count(*) filter (where unknown),
		       coalesce(bool_and(sound), true)
		from import_entry`).Scan(&c.Added, &c.Repriced, &c.Altered, &c.Removed, &c.Confirmed, &out.Unchanged,
		&c.Jumps, &c.UnitChanges, &c.UnknownItems, &sound)
	if err != nil || !sound {
		return sound, err
	}
	for _, l := range []struct {
		into  *[]book.Change
		count int
		sql   string
		most  int
	}{
		{&out.Changes, c.Changes(), selectChanges + `kind <> 'unchanged'` + inOrder, book.MostChanges},
		{&out.Jumps, c.Jumps, selectChanges + `jumps` + inOrder, book.MostNotices},
		{&out.UnitChanges, c.UnitChanges, selectChanges + `other_unit` + inOrder, book.MostNotices},
		{&out.Withdrawals, c.Removed, selectChanges + `kind = 'withdrawn'` + inOrder, book.MostNotices},
	} {
		if l.count == 0 {
			continue
		}
		if *l.into, err = collectChanges(q.Query(ctx, l.sql, l.most)); err != nil {
			return false, err
		}
	}
	if c.UnknownItems > 0 {
		rows, err := q.Query(ctx, `select item from import_entry where unknown order by item limit $1`, book.MostNotices)
		if err != nil {
			return false, err
		}
		if out.UnknownItems, err = pgx.CollectRows(rows, pgx.RowTo[string]); err != nil {
			return false, err
		}
	}
	return true, nil
}

// The first planned changes of a condition, which stands between the two. They are
// taken before their terms are: to make text of those of a million takes seconds.
const (
	selectChanges = `
		select item, office, supplier, effective, 0::bigint, ` + newTerms + `,
		       old_effective, coalesce(old_revision, 0), coalesce((old_terms).state, ''), coalesce((old_terms).description, ''),
		       coalesce((old_terms).currency, ''), coalesce((old_terms).unit, ''), coalesce((old_terms).pack, 0)::text,
		       coalesce((old_terms).min_quantities, '{}')::text[], coalesce((old_terms).prices, '{}')::text[]
		from (select * from import_entry where `
	inOrder = ` order by item, supplier, effective, office limit $1) first
		order by item, supplier, effective, office`
	newTerms = `state, description, currency, unit, pack::text, min_quantities::text[], prices::text[]`
)

// collectChanges reads rows of selectChanges.
func collectChanges(rows pgx.Rows, err error) ([]book.Change, error) {
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (book.Change, error) {
		var r, was entryRow
		var since *time.Time
		err := row.Scan(&r.Item, &r.Office, &r.Supplier, &r.Effective, &r.Revision, &r.State, &r.Description,
			&r.Currency, &r.Unit, &r.Pack, &r.MinQuantities, &r.Prices,
			&since, &was.Revision, &was.State, &was.Description, &was.Currency, &was.Unit, &was.Pack, &was.MinQuantities, &was.Prices)
		if err != nil {
			return book.Change{}, err
		}
		e, err := r.entry()
		if err != nil || since == nil {
			return book.ChangeOf(nil, e), err
		}
		was.Item, was.Office, was.Supplier, was.Effective = r.Item, r.Office, r.Supplier, *since
		old, err := was.entry()
		return book.ChangeOf(&old, e), err
	})
}

// contentOfPlan is the content hash of what was planned, and the latest date of
// it. The entries stream by; their number does not matter.
func contentOfPlan(ctx context.Context, q querier) (content [32]byte, latest civil.Date, err error) {
	return hashEntries(q.Query(ctx, `
		select item, office, supplier, effective, `+newTerms+`
		from import_entry
		where kind <> 'unchanged'
		order by item, office, supplier, effective`))
}

func hashEntries(rows pgx.Rows, err error) (content [32]byte, latest civil.Date, _ error) {
	if err != nil {
		return content, latest, err
	}
	h := book.NewContentHasher()
	var r entryRow
	_, err = pgx.ForEachRow(rows, []any{&r.Item, &r.Office, &r.Supplier, &r.Effective, &r.State, &r.Description,
		&r.Currency, &r.Unit, &r.Pack, &r.MinQuantities, &r.Prices}, func() error {
		e, err := r.entry()
		if err != nil {
			return err
		}
		if e.Effective.Compare(latest) > 0 {
			latest = e.Effective
		}
		h.Add(e)
		return nil
	})
	return h.Sum(), latest, err
}
