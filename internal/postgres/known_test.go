package postgres_test

import (
	"fmt"
	"testing"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/postgres/storetest"
)

// [PRC-3: US BLS producer price indexes, one month read at two dates] What a
// month was known as then, and what it is known as now: the later reading is a
// revision of its own, from the same effective date. The answer as known then
// stays, though the later one supersedes it, and each says what became of the
// other.
func TestAsKnownThenAndAsKnownNow(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	ctx := scoped()
	readings := []struct{ item, month, then, now string }{
		{"WPU0811", "2025-12-01", "250.174", "250.132"},
		{"WPU0811", "2026-01-01", "260.002", "259.987"},
		{"WPU0811", "2026-03-01", "267.927", "268.274"},
		{"WPU081", "2025-02-01", "268.277", "269.404"},
	}
	var then, now []string
	for _, r := range readings {
		then = append(then, fmt.Sprintf("%s %s %s", r.item, r.month, r.then))
		now = append(now, fmt.Sprintf("%s %s %s", r.item, r.month, r.now))
	}
	mustImport(t, s, "then", list(t, book.Patch, then...))
	mustImport(t, s, "now", list(t, book.Patch, now...))
	for _, r := range readings {
		for _, c := range []struct {
			known       book.Revision
			want, other string
		}{{1, r.then, ""}, {2, r.now, r.then}} {
			q := query(r.month, c.known, r.item)
			if got := price(t, s, r.item, r.month, c.known); got != c.want {
				t.Errorf("%s of %s as known at revision %d: %s, want %s", r.item, r.month, c.known, got, c.want)
			}
			why, _, err := s.Explain(ctx, q, nil)
			if err != nil {
				t.Fatal(err)
			}
			if w := why[0].Winner; w == nil || w.Break.Price.String() != c.want || w.Entry.Revision != c.known {
				t.Errorf("%s of %s as known at revision %d: won %v, want %s", r.item, r.month, c.known, w, c.want)
			}
			before := ""
			for _, x := range why[0].Considered {
				if x.Reason == book.Superseded && x.Entry.Effective == civil.Must(r.month) {
					before = x.Entry.Breaks[0].Price.String()
				}
			}
			if before != c.other {
				t.Errorf("%s of %s as known at revision %d superseded %q, want %q", r.item, r.month, c.known, before, c.other)
			}
		}
	}
}
