package postgres_test

import (
	"fmt"
	"slices"
	"testing"

	"wattle/internal/book"
	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

// Whoever reads the rows can compute every head again; a row changed behind
// the program's back shows from its revision on.
func TestTheHashChainCoversEveryRow(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	ctx := scoped()
	for i := range 4 {
		mustImport(t, s, fmt.Sprint(i), list(t, []book.Mode{book.Patch, book.Replace}[i%2],
			fmt.Sprintf("post 2026-01-01 %d.50", 10+i), fmt.Sprintf("rail-%d 2026-01-01 6.250", i)))
	}
	if bad := firstBad(t, s, 4); bad != 0 {
		t.Fatalf("revision %d does not have the hash its rows give", bad)
	}
	admin := connect(t, db.AdminURL())
	for _, c := range []struct {
		sql string
		bad book.Revision
	}{
		{`update price_entry set description = 'x' where revision = 4 and item = 'post'`, 4},
		{`update price_entry set prices = '{12.51}' where revision = 3 and item = 'post'`, 3},
		{`delete from price_entry where revision = 2 and state = 'withdrawn'`, 2},
		{`update price_entry set revision = 1 where revision = 2 and item = 'rail-1'`, 1},
	} {
		if _, err := admin.Exec(ctx, c.sql); err != nil {
			t.Fatal(err)
		}
		if bad := firstBad(t, s, 4); bad != c.bad {
			t.Errorf("after %s: revision %d is bad, want %d", c.sql, bad, c.bad)
		}
	}
}

// firstBad is the first revision whose stored hash is not that of its rows and
// the hash before; 0 where all are good.
func firstBad(t *testing.T, s *postgres.Store, newest book.Revision) book.Revision {
	t.Helper()
	ctx := scoped()
	byRevision := map[book.Revision][]book.Entry{}
	for _, item := range []string{"post", "rail-0", "rail-1", "rail-2", "rail-3"} {
		entries, err := s.History(ctx, book.HistoryQuery{Company: company, Item: item, Offices: []string{"main"}, Revision: newest, Limit: 100})
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range slices.Backward(entries) {
			byRevision[e.Revision] = append(byRevision[e.Revision], e)
		}
	}
	var head book.Head
	for r := book.Revision(1); r <= newest; r++ {
		head = head.Next(company, book.ContentHash(byRevision[r]))
		stored, err := s.HeadAt(ctx, company, r)
		if err != nil {
			t.Fatal(err)
		}
		if stored != head {
			return r
		}
	}
	return 0
}
