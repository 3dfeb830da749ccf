package estimating_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/govalues/decimal"
	"github.com/jackc/pgx/v5"

	"wattle/internal/basket"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/measure"
	"wattle/internal/postgres/storetest"
)

// BenchmarkCostPerFoot follows a basket of 20 items over five years of monthly
// lists, and pulls the same rows with one SELECT, in turns; both in a transaction
// of the service role. The ratio is of the medians.
//
//	go test ./internal/estimating -run '^$' -bench CostPerFoot -benchtime 500x
func BenchmarkCostPerFoot(b *testing.B) {
	store, db := storetest.NewWithDB(b)
	s := service(store)
	const items, months = 20, 60
	followed := &basket.Basket{Fence: 100 * measure.Foot}
	in := book.Import{Company: company, Mode: book.Patch}
	for i := range items {
		name := fmt.Sprintf("item-%02d", i)
		followed.Lines = append(followed.Lines, basket.Line{Item: name, Component: fmt.Sprintf("part-%02d", i), Unit: "each", Quantity: decimal.MustNew(int64(i+1), 0)})
		for m := range months {
			in.Entries = append(in.Entries, book.Entry{
				Item: name, Office: book.MainOffice, Effective: civil.Date{Year: 2021 + m/12, Month: time.Month(1 + m%12), Day: 1},
				State: book.Priced, Currency: "USD", Unit: "each", Pack: decimal.One,
				Breaks: []book.Break{{Price: decimal.MustNew(int64(1000+m*7+i), 2)}},
			})
		}
	}
	if _, err := store.Import(scoped(), key("ImportPrices", "history"), in); err != nil {
		b.Fatal(err)
	}
	window := estimating.CostWindow{From: civil.Must("2021-01-01"), To: civil.Must("2025-12-31")}
	conn, err := pgx.Connect(b.Context(), db.ServiceURL())
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = conn.Close(b.Context()) }()
	var ours, theirs []time.Duration
	for b.Loop() {
		start := time.Now()
		f, err := s.FollowCost(scoped(), company, "", estimating.CostBasket{Items: followed, Currency: "USD"}, window)
		if err != nil {
			b.Fatal(err)
		}
		series, err := f.Series()
		if err != nil || len(series.Steps) != months {
			b.Fatalf("%d steps, %v", len(series.Steps), err)
		}
		ours = append(ours, time.Since(start))
		start = time.Now()
		if n := pull(b, conn, f.Basket.Items()); n != items*months {
			b.Fatalf("%d rows", n)
		}
		theirs = append(theirs, time.Since(start))
	}
	slices.Sort(ours)
	slices.Sort(theirs)
	a, z := ours[len(ours)/2], theirs[len(theirs)/2]
	b.ReportMetric(float64(a.Microseconds()), "follow-us")
	b.ReportMetric(float64(z.Microseconds()), "select-us")
	b.ReportMetric(float64(a)/float64(z), "ratio")
}

// pull reads the rows that the basket's prices come from, values and all.
func pull(b *testing.B, conn *pgx.Conn, items []string) (n int) {
	b.Helper()
	tx, err := conn.Begin(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = tx.Rollback(b.Context()) }()
	if _, err := tx.Exec(b.Context(), `select set_config('wattle.company', $1, true), set_config('wattle.reads', '*', true)`, company); err != nil {
		b.Fatal(err)
	}
	rows, err := tx.Query(b.Context(), `
		select item, office, supplier, effective, revision, state, description, currency, unit, pack, min_quantities, prices
		from price_entry where company = $1 and item = any ($2) and office = 'main' and effective <= '2025-12-31' and revision <= 1`, company, items)
	if err != nil {
		b.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		if _, err := rows.Values(); err != nil {
			b.Fatal(err)
		}
		n++
	}
	if err := rows.Err(); err != nil {
		b.Fatal(err)
	}
	return n
}
