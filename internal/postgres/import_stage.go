package postgres

import (
	"context"
	"io"
	"strconv"
	"time"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"wattle/internal/book"
)

// Stage keeps rows of a price list until Import or Discard, in a transaction of
// their own. The first call of a list has an empty id; the answer is the id for
// the others, a random number that is as good as the key to the rows.
func (s *Store) Stage(ctx context.Context, company, id string, rows []book.Row) (string, error) {
	err := s.within(ctx, company, write, func(q querier) error {
		if id == "" {
			if err := q.QueryRow(ctx, `select gen_random_uuid()::text`).Scan(&id); err != nil {
				return err
			}
		}
		return copyRows(ctx, q, company, id, rows)
	})
	return id, err
}

// copyRows sends rows in COPY's text format: what pgx makes of values one by one
// takes several times as long, for a million of them. The connection's tracer is
// told, as pgx tells it of a copy of its own.
func copyRows(ctx context.Context, q querier, company, id string, rows []book.Row) (err error) {
	conn := q.Conn()
	var tag pgconn.CommandTag
	if tracer, ok := conn.Config().Tracer.(pgx.CopyFromTracer); ok {
		ctx = tracer.TraceCopyFromStart(ctx, conn, pgx.TraceCopyFromStartData{TableName: pgx.Identifier{"import_row"}})
		defer func() { tracer.TraceCopyFromEnd(ctx, conn, pgx.TraceCopyFromEndData{CommandTag: tag, Err: err}) }()
	}
	tag, err = conn.PgConn().CopyFrom(ctx, &rowText{company: company, id: id, rows: rows}, `
		copy import_row (company, import, line, item, office, supplier, effective, spoilt,
		                 state, description, currency, unit, pack, min_quantity, price) from stdin`)
	return err
}

// rowText reads as rows of import_row in COPY's text format: a line for each, its
// columns apart by tabs.
type rowText struct {
	company, id string
	rows        []book.Row
	text, rest  []byte // the row that is being read, and what of it is left
}

// Read implements io.Reader.
func (t *rowText) Read(p []byte) (n int, err error) {
	for n < len(p) {
		if len(t.rest) == 0 {
			if len(t.rows) == 0 {
				return n, io.EOF
			}
			t.text = t.appendRow(t.text[:0], &t.rows[0])
			t.rest, t.rows = t.text, t.rows[1:]
		}
		written := copy(p[n:], t.rest)
		n, t.rest = n+written, t.rest[written:]
	}
	return n, nil
}

func (t *rowText) appendRow(b []byte, r *book.Row) []byte {
	e := &r.Entry
	b = append(appendText(b, t.company), '\t')
	b = append(append(b, t.id...), '\t')
	b = append(strconv.AppendInt(b, int64(r.Line), 10), '\t')
	for _, s := range []string{e.Item, e.Office, e.Supplier} {
		b = append(appendText(b, s), '\t')
	}
	b = append(e.Effective.Time().AppendFormat(b, time.DateOnly), '\t')
	if r.Spoilt { // what else it says may not even be text
		return append(b, "t\t\t\t\t\t0\t0\t0\n"...)
	}
	b = append(b, "f\t"...)
	for _, s := range []string{string(e.State), e.Description, string(e.Currency), e.Unit} {
		b = append(appendText(b, s), '\t')
	}
	for _, d := range []decimal.Decimal{e.Pack, r.Break.MinQuantity, r.Break.Price} {
		b, _ = d.AppendText(b) // of a decimal it never fails
		b = append(b, '\t')
	}
	b[len(b)-1] = '\n'
	return b
}

// appendText escapes what COPY would take for the end of a column or a row.
func appendText(b []byte, s string) []byte {
	for i := range len(s) {
		switch c := s[i]; c {
		case '\\':
			b = append(b, `\\`...)
		case '\t':
			b = append(b, `\t`...)
		case '\n':
			b = append(b, `\n`...)
		case '\r':
			b = append(b, `\r`...)
		default:
			b = append(b, c)
		}
	}
	return b
}

// Discard removes the rows that were staged under an id.
func (s *Store) Discard(ctx context.Context, company, id string) error {
	return s.within(ctx, company, write, func(q querier) error {
		_, err := q.Exec(ctx, `delete from import_row where import = $1::text::uuid`, id)
		return err
	})
}

// SweepImports removes what imports that never ended left behind, of every
// company, where it is older than an age (at least an hour), and says how much
// that was.
func (s *Store) SweepImports(ctx context.Context, age time.Duration) (removed int64, err error) {
	err = s.unscoped(ctx, `select sweep_imports($1)`, []any{age}, &removed)
	return removed, err
}

// Clashes are what is wrong between the rows staged under an id: what
// book.Gather finds, the first ones by line.
func (s *Store) Clashes(ctx context.Context, company, id string, limit int) (clashes book.Clashes, err error) {
	err = s.within(ctx, company, read, func(q querier) error {
		clashes, err = findClashes(ctx, q, id, limit)
		return err
	})
	return clashes, err
}

func findClashes(ctx context.Context, q querier, id string, limit int) (book.Clashes, error) {
	if _, err := q.Exec(ctx, sortInMemory); err != nil {
		return book.Clashes{}, err
	}
	return collectClashes(q.Query(ctx, selectClashes, id, book.MaxBreaks, limit))
}

func collectClashes(rows pgx.Rows, err error) (found book.Clashes, _ error) {
	if err != nil {
		return found, err
	}
	found.First, err = pgx.CollectRows(rows, func(row pgx.CollectableRow) (c book.Clash, err error) {
		return c, row.Scan(&c.Kind, &c.Line, &c.Other, &found.Count)
	})
	return found, err
}

// selectClashes holds each row of a list against the first of its entry.
const selectClashes = `
		with placed as (
		    select item, office, supplier, effective, line, state, description, unit, pack, currency, min_quantity,
		           first_value(line) over entry as first,
		           first_value(state) over entry as first_state,
		           first_value(description) over entry as first_description,
		           first_value(unit) over entry as first_unit,
		           first_value(pack) over entry as first_pack,
		           first_value(currency) over entry as first_currency,
		           min(line) over (partition by item, office, supplier, effective, state, min_quantity) as first_at
		    from import_row
		    where import = $1::text::uuid and not spoilt
		    window entry as (partition by item, office, supplier, effective order by line)
		), joined as (
		    select * from placed where state = 'priced' and first_state = 'priced'
		), clash as (
		    select 'entry' as kind, line, first as other from placed
		    where line <> first and (state <> 'priced' or first_state <> 'priced')
		    union all select 'description', line, first from joined where description <> first_description
		    union all select 'unit', line, first from joined where unit <> first_unit
		    union all select 'pack', line, first from joined where pack <> first_pack
		    union all select 'currency', line, first from joined where currency <> first_currency
		    union all select 'quantity', line, first_at from joined where line <> first_at
		    union all
		    select 'first break', first, 0 from joined j
		    group by item, office, supplier, effective, first
		    having min(min_quantity) > 0 and not exists (
		        select from import_row s
		        where s.import = $1::text::uuid and s.spoilt and s.item = j.item and s.office = j.office
		          and s.supplier = j.supplier and s.effective = j.effective)
		    union all
		    select 'breaks', first, count(distinct min_quantity) from joined
		    group by item, office, supplier, effective, first
		    having count(distinct min_quantity) > $2
		)
		select kind, line, other, count(*) over () from clash order by line, kind limit $3`
