package postgres_test

import (
	"fmt"
	"testing"

	"wattle/internal/actuals"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/postgres/storetest"
)

// BenchmarkSummarizeActuals sums up 100,000 finished jobs of fifteen lines, beside
// as many of another company: all of them, and those of a month.
func BenchmarkSummarizeActuals(b *testing.B) {
	const jobs = 100_000
	s, db := storetest.NewWithDB(b)
	fillActuals(b, db.AdminURL(), jobs)
	for _, when := range []struct {
		name     string
		from, to civil.Date
	}{{"all", civil.Date{}, civil.Date{}}, {"month", civil.Must("2023-03-01"), civil.Must("2023-03-31")}} {
		for _, by := range []actuals.By{{Subject: actuals.ByTask}, {Subject: actuals.ByTask, Crew: true}, {Subject: actuals.ByItem}, {Subject: actuals.ByCategory}} {
			b.Run(fmt.Sprintf("%s/%s/crew=%v", when.name, by.Subject, by.Crew), func(b *testing.B) {
				for b.Loop() {
					f := estimating.ActualsFilter{Company: company, From: when.from, To: when.to}
					if _, n, err := s.SummarizeActuals(scoped(), f, by); err != nil || n == 0 {
						b.Fatal(n, err)
					}
				}
			})
		}
	}
}
