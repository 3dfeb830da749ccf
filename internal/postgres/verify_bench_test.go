package postgres_test

import (
	"testing"

	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/postgres/storetest"
)

// BenchmarkVerifyBook reads 1,000 items of 100 revisions and computes their
// hashes; its bytes are those of all rows, not of what is held at once.
func BenchmarkVerifyBook(b *testing.B) {
	s, db := storetest.NewWithDB(b)
	grow(b, db.AdminURL(), company, 1000, 100)
	b.ReportAllocs()
	for b.Loop() {
		report, err := s.VerifyBook(scoped(), company, book.NewVerification(company, nil), func(estimating.VerifyProgress) error { return nil })
		if err != nil || report.Entries != 100_000 {
			b.Fatal(report.Entries, err)
		}
	}
	b.ReportMetric(100_000*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}
