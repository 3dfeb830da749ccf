package postgres_test

import (
	"fmt"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// BenchmarkResolve finds 60 items among 10,000, in a book of one revision and in
// one of many by turns, at the newest revision and at the first, as of today and
// as of the time of the revision. WATTLE_BENCH_REVISIONS says how many are many;
// 1000 makes 10,000,000 entries, which takes minutes and 3 GB. On both the plan is
// looked at: the search descends the primary key.
//
//	go test ./internal/postgres -run '^$' -bench Resolve -benchtime 500x
func BenchmarkResolve(b *testing.B) {
	many := 20
	if s := os.Getenv("WATTLE_BENCH_REVISIONS"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 {
			b.Fatalf("WATTLE_BENCH_REVISIONS=%s: want a whole number, at least 1", s)
		}
		many = n
	}
	const items = 10_000
	one, all := growBook(b, items, 1), growBook(b, items, many)
	for _, at := range []struct {
		name, asOf string
		r          book.Revision
	}{
		{"newest", "2030-01-01", book.Revision(many)},
		{"first", "2020-01-02", 1},
		{"first_as_of_today", "2030-01-01", 1},
	} {
		b.Run(fmt.Sprintf("%dx%d/%s", items, many, at.name), func(b *testing.B) {
			n := 0
			pair := func() (oneTook, took time.Duration) {
				wanted := make([]string, 60)
				for i := range wanted {
					n++
					wanted[i] = fmt.Sprintf("item-%06d", 1+n*7919%items)
				}
				return one.resolve(b, query(at.asOf, 1, wanted...)), all.resolve(b, query(at.asOf, at.r, wanted...))
			}
			for range items/60 + 1 {
				pair() // warm: every item once
			}
			var ofOne, ofAll []time.Duration
			for b.Loop() {
				oneTook, took := pair()
				ofOne, ofAll = append(ofOne, oneTook), append(ofAll, took)
			}
			b.ReportMetric(0, "ns/op") // of both, so of neither
			oneP99, p99 := micros(ofOne, 99), micros(ofAll, 99)
			b.ReportMetric(micros(ofOne, 50), "one-p50-us")
			b.ReportMetric(micros(ofAll, 50), "p50-us")
			b.ReportMetric(oneP99, "one-p99-us")
			b.ReportMetric(p99, "p99-us")
			b.ReportMetric(p99/oneP99, "ratio")
			b.ReportMetric(all.table, "table-MB")
			b.ReportMetric(all.index, "index-MB")
		})
	}
}

// grownBook is a book that grow has filled, with the megabytes of its entries and of
// their primary key.
type grownBook struct {
	store        *postgres.Store
	table, index float64
}

func growBook(b *testing.B, items, revisions int) grownBook {
	s, db := storetest.NewWithDB(b)
	grow(b, db.AdminURL(), company, items, revisions)
	conn := connect(b, db.AdminURL())
	// As the book is some time later: what grow wrote is not in the way of what is read.
	for _, sql := range []string{`vacuum (analyze, parallel 0) price_entry`, `checkpoint`} {
		if _, err := conn.Exec(scoped(), sql); err != nil {
			b.Fatal(err)
		}
	}
	searchUsesItsIndex(b, db.ServiceURL(), company, "2030-01-01", revisions)
	searchUsesItsIndex(b, db.ServiceURL(), company, "2020-01-02", 1)
	g := grownBook{store: s}
	err := conn.QueryRow(scoped(), `
		select pg_table_size('price_entry') / 1e6, pg_relation_size('price_entry_pkey') / 1e6`).Scan(&g.table, &g.index)
	if err != nil {
		b.Fatal(err)
	}
	return g
}

// resolve is how long the query takes, which must find what grow wrote at its revision.
func (g grownBook) resolve(b *testing.B, q book.Query) time.Duration {
	start := time.Now()
	got, _, err := g.store.Resolve(scoped(), q)
	took := time.Since(start)
	if last := len(q.Items) - 1; err != nil || len(got[last].Offers) != 1 || got[last].Offers[0].Revision != q.Revision {
		b.Fatalf("%v, %v", got, err)
	}
	return took
}

// micros is that percentile of the times, in microseconds.
func micros(times []time.Duration, percentile int) float64 {
	sorted := slices.Sorted(slices.Values(times))
	return float64(sorted[(len(sorted)-1)*percentile/100].Microseconds())
}

// BenchmarkImport adds a list of 10,000 new prices to a book that holds 10,000,
// each time from the next day.
func BenchmarkImport(b *testing.B) {
	const rows = 10_000
	s := storetest.New(b)
	b.ReportAllocs()
	day := 0
	for b.Loop() {
		in := book.Import{Company: company, Mode: book.Patch, Entries: make([]book.Entry, rows)}
		for i := range in.Entries {
			in.Entries[i] = book.Entry{
				Item: fmt.Sprintf("item-%06d", i), Office: book.MainOffice, Effective: civil.Must("2020-01-01").AddDays(day),
				State: book.Priced, Currency: "USD", Unit: "each", Pack: decimal.One,
				Breaks: []book.Break{{Price: decimal.MustNew(int64(1000+day+i), 2)}},
			}
		}
		day++
		if out := mustImport(b, s, fmt.Sprint(day), in); out.Counts.Added+out.Counts.Altered+out.Counts.Repriced+out.Counts.Confirmed != rows || int(out.Head.Revision) != day {
			b.Fatalf("%d changes, revision %d", len(out.Changes), out.Head.Revision)
		}
	}
	b.ReportMetric(float64(rows*day)/b.Elapsed().Seconds(), "rows/s")
}
