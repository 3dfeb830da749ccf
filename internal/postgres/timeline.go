package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/civil"
)

// Learned lists every entry of the items at the query's offices that is known at
// its revision and holds by its date. Where there is a zone, each has the day on
// which its revision was learned there, else none: a revision counts as learned
// no earlier than those before it, whatever clock told its time. More than most
// entries are cut off after one more.
func (s *Store) Learned(ctx context.Context, q book.Query, zone *time.Location, most int) (all []book.Learned, err error) {
	err = s.within(ctx, q.Company, read, func(db querier) error {
		if _, err := headAt(ctx, db, q.Company, q.Revision); err != nil {
			return err
		}
		var learned map[book.Revision]civil.Date
		if zone != nil {
			if learned, err = learnedOn(ctx, db, q, zone); err != nil {
				return err
			}
		}
		entries, err := collectEntries(db.Query(ctx, `
			select `+entryColumns+`
			from price_entry e
			where e.company = $1 and e.item = any ($2) and e.office = any ($3) and e.effective <= $4 and e.revision <= $5
			limit $6`, q.Company, q.Items, q.Offices, q.AsOf.Time(), int64(q.Revision), most+1))
		if err != nil {
			return err
		}
		all = make([]book.Learned, len(entries))
		for i, e := range entries {
			all[i] = book.Learned{Entry: e, On: learned[e.Revision]}
		}
		return nil
	})
	return all, err
}

// learnedOn is the day on which each revision came into the book.
func learnedOn(ctx context.Context, db querier, q book.Query, zone *time.Location) (map[book.Revision]civil.Date, error) {
	rows, err := db.Query(ctx, `
		select revision, max(created_at) over (order by revision)
		from book_revision where company = $1 and revision <= $2`, q.Company, int64(q.Revision))
	if err != nil {
		return nil, err
	}
	type made struct {
		Revision int64
		At       time.Time
	}
	found, err := pgx.CollectRows(rows, pgx.RowToStructByPos[made])
	learned := make(map[book.Revision]civil.Date, len(found))
	for _, m := range found {
		learned[book.Revision(m.Revision)] = civil.Of(m.At.In(zone))
	}
	return learned, err
}
