package postgres_test

import (
	"reflect"
	"testing"
	"time"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/postgres/storetest"
)

// Learned entries are all that answers of a window rest on: the timeline made of them is
// what Resolve says day by day, at each revision, and as it was known then.
func TestLearnedEntriesMakeTimelines(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	lists := [][]string{
		{"post 2026-01-01 10.00", "post 2026-03-01 11.00", "rail 2026-02-01 6.00"},
		{"post 2026-02-01 10.50", "rail 2026-04-01 withdrawn"},
		{"post 2026-01-01 9.00", "rail 2026-05-01 6.60"},
	}
	admin := connect(t, db.AdminURL())
	// The third list's clock was behind: a revision is never learned before the one
	// it follows.
	learned := []string{"2026-01-15T23:30:00Z", "2026-03-10T12:00:00Z", "2026-02-01T12:00:00Z"}
	for i, entries := range lists {
		mustImport(t, s, entries[0], list(t, book.Patch, entries...))
		if _, err := admin.Exec(scoped(), `update book_revision set created_at = $1 where revision = $2`, learned[i], i+1); err != nil {
			t.Fatal(err)
		}
	}
	zone := time.FixedZone("east", 2*60*60) // there it was past midnight
	days := map[civil.Date]book.Revision{civil.Must("2026-01-16"): 1, civil.Must("2026-03-10"): 3}
	w := book.Window{From: civil.Must("2025-12-30"), To: civil.Must("2026-05-10")}
	for r := range book.Revision(len(lists) + 1) {
		q := query(w.To.String(), r, "post", "rail")
		for _, then := range []bool{false, true} {
			var at *time.Location
			if then {
				at = zone
			}
			entries, err := s.Learned(scoped(), q, at, 100)
			if err != nil {
				t.Fatal(err)
			}
			if r > 0 {
				if cut, err := s.Learned(scoped(), q, at, 1); err != nil || len(cut) != 2 {
					t.Errorf("cut off after one more than 1: %d entries, %v", len(cut), err)
				}
			}
			var known book.Revision
			for place, item := range q.Items {
				spans, in := book.Timeline(item, entries, q, w, then), 0
				known = 0
				for on := w.From; on.Compare(w.To) <= 0; on = on.AddDays(1) {
					if in+1 < len(spans) && spans[in+1].From == on {
						in++
					}
					if to, ok := days[on]; ok {
						known = to
					}
					last := in+1 < len(spans) && spans[in+1].From == on.AddDays(1)
					if spans[in].From != on && !last && on.Day%9 != 0 {
						continue // within a span, a day now and then will do
					}
					ask := q
					if ask.AsOf = on; then {
						ask.Revision = min(r, known)
					}
					want, _, err := s.Resolve(scoped(), ask)
					if err != nil {
						t.Fatal(err)
					}
					if !reflect.DeepEqual(spans[in].Offers, want[place].Offers) {
						t.Fatalf("%s on %v at revision %d, then %v: %v, want %v", item, on, r, then, spans[in].Resolved, want[place])
					}
				}
			}
		}
	}
}
