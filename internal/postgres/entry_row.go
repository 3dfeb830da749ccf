package postgres

import (
	"fmt"
	"strings"
	"time"

	"github.com/govalues/decimal"
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

// entryArrays are entries column by column, for insertEntries.
type entryArrays struct {
	item, office, supplier   []string
	effective                []time.Time
	state, description       []string
	currency, unit, pack     []string
	minQuantities, unitPrice []string // each an array of numerics as Postgres writes it: {0,100}
}

func columnsOf(entries []book.Entry) *entryArrays {
	a := &entryArrays{}
	for _, e := range entries {
		a.item = append(a.item, e.Item)
		a.office = append(a.office, e.Office)
		a.supplier = append(a.supplier, e.Supplier)
		a.effective = append(a.effective, e.Effective.Time())
		a.state = append(a.state, string(e.State))
		a.description = append(a.description, e.Description)
		a.currency = append(a.currency, string(e.Currency))
		a.unit = append(a.unit, e.Unit)
		a.pack = append(a.pack, e.Pack.String())
		a.minQuantities = append(a.minQuantities, numerics(e.Breaks, func(b book.Break) decimal.Decimal { return b.MinQuantity }))
		a.unitPrice = append(a.unitPrice, numerics(e.Breaks, func(b book.Break) decimal.Decimal { return b.Price }))
	}
	return a
}

func numerics(breaks []book.Break, of func(book.Break) decimal.Decimal) string {
	texts := make([]string, len(breaks))
	for i, b := range breaks {
		texts[i] = of(b).String()
	}
	return "{" + strings.Join(texts, ",") + "}"
}
