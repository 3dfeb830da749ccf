package postgres

import (
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/money"
)

// entryColumns are the columns of an entry, from price_entry as e, in the order
// of entryRow. Numerics travel as text, which is exact both ways.
const entryColumns = `e.item, e.office, e.supplier, e.effective, e.revision, e.state, e.description,
	e.currency, e.unit, e.pack::text, e.min_quantities::text[], e.prices::text[]`

type entryRow struct {
	Item, Office, Supplier string
	Effective              time.Time
	Revision               int64
	State, Description     string
	Currency, Unit, Pack   string
	MinQuantities, Prices  []string
}

func (r entryRow) entry() (book.Entry, error) {
	e := book.Entry{
		Item: r.Item, Office: r.Office, Supplier: r.Supplier,
		Effective: civil.Of(r.Effective), Revision: book.Revision(r.Revision),
		State: book.State(r.State), Description: r.Description,
		Currency: money.Currency(r.Currency), Unit: r.Unit,
	}
	var err error
	if e.Pack, err = money.ParseDecimal(r.Pack); err != nil {
		return e, fmt.Errorf("pack of item %q, revision %d: %w", r.Item, r.Revision, err)
	}
	if len(r.MinQuantities) > 0 {
		e.Breaks = make([]book.Break, len(r.MinQuantities))
	}
	for i := range e.Breaks {
		b := &e.Breaks[i]
		if b.MinQuantity, err = money.ParseDecimal(r.MinQuantities[i]); err != nil {
			return e, fmt.Errorf("break %d of item %q, revision %d: %w", i, r.Item, r.Revision, err)
		}
		if b.Price, err = money.ParseDecimal(r.Prices[i]); err != nil {
			return e, fmt.Errorf("price %d of item %q, revision %d: %w", i, r.Item, r.Revision, err)
		}
	}
	return e, nil
}

// collectEntries reads rows of entryColumns.
func collectEntries(rows pgx.Rows, err error) ([]book.Entry, error) {
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (book.Entry, error) {
		r, err := pgx.RowToStructByPos[entryRow](row)
		if err != nil {
			return book.Entry{}, err
		}
		return r.entry()
	})
}
