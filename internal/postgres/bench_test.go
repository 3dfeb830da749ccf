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
	"wattle/internal/postgres/storetest"
)

// BenchmarkResolve finds 60 items among 10,000, in a book of one revision and
// in one of many, at the newest revision and at the first, as of today and as
// of the time of the revision. WATTLE_BENCH_REVISIONS says how many are many;
// 1000 makes 10,000,000 entries, which takes minutes and 3 GB. On every size the
// plan is looked at: the search descends the primary key.
//
//	go test ./internal/postgres -run '^$' -bench Resolve -benchmem
func BenchmarkResolve(b *testing.B) {
	many := 20
	if s := os.Getenv("WATTLE_BENCH_REVISIONS"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil {
			b.Fatalf("WATTLE_BENCH_REVISIONS: %v", err)
		}
		many = n
	}
	const items = 10_000
	for _, revisions := range slices.Compact([]int{1, many}) {
		s, db := storetest.NewWithDB(b)
		grow(b, db.AdminURL(), company, items, revisions)
		table, index := sizes(b, db.AdminURL())
		searchUsesItsIndex(b, db.ServiceURL(), company, "2030-01-01", revisions)
		searchUsesItsIndex(b, db.ServiceURL(), company, "2020-01-02", 1)
		for _, at := range []struct {
			name string
			r    book.Revision
			asOf string
		}{
			{"newest", book.Revision(revisions), "2030-01-01"},
			{"first", 1, "2020-01-02"},
			{"first_as_of_today", 1, "2030-01-01"},
		} {
			b.Run(fmt.Sprintf("%dx%d/%s", items, revisions, at.name), func(b *testing.B) {
				ctx := scoped()
				var times []time.Duration
				n := 0
				resolve := func() {
					wanted := make([]string, 60)
					for i := range wanted {
						n++
						wanted[i] = fmt.Sprintf("item-%06d", 1+n*7919%items)
					}
					start := time.Now()
					got, _, err := s.Resolve(ctx, query(at.asOf, at.r, wanted...))
					times = append(times, time.Since(start))
					if err != nil || len(got[59].Offers) != 1 || got[59].Offers[0].Revision != at.r {
						b.Fatalf("%v, %v", got, err)
					}
				}
				for range items / 60 {
					resolve() // warm: every item once
				}
				times = nil
				b.ReportAllocs()
				for b.Loop() {
					resolve()
				}
				slices.Sort(times)
				b.ReportMetric(float64(times[len(times)*99/100].Microseconds()), "p99-us")
				b.ReportMetric(table, "table-MB")
				b.ReportMetric(index, "index-MB")
			})
		}
	}
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

// sizes are the megabytes of the table of entries and of its primary key.
func sizes(b *testing.B, adminURL string) (table, index float64) {
	conn := connect(b, adminURL)
	if _, err := conn.Exec(scoped(), `vacuum (analyze, parallel 0) price_entry`); err != nil {
		b.Fatal(err)
	}
	err := conn.QueryRow(scoped(), `
		select pg_table_size('price_entry') / 1e6, pg_relation_size('price_entry_pkey') / 1e6`).Scan(&table, &index)
	if err != nil {
		b.Fatal(err)
	}
	return table, index
}
