package postgres_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"wattle/internal/postgres"
	"wattle/internal/postgres/storetest"
)

var planModes = []string{"force_custom_plan", "force_generic_plan"}

// walks fails unless every scan of a table is one of an index under the
// conditions named, and nothing is sorted.
func walks(t *testing.T, plan node, table, index string, conditions ...string) {
	t.Helper()
	found := 0
	for _, n := range plan.all() {
		if strings.HasSuffix(n.Type, "Sort") {
			t.Errorf("the plan sorts; the index should give the order: %+v", plan)
		}
		if n.Relation != table {
			continue
		}
		found++
		if n.Index != index {
			t.Errorf("%s of %s by index %q, want %s", n.Type, table, n.Index, index)
		}
		if missing := slices.DeleteFunc(slices.Clone(conditions), func(c string) bool { return strings.Contains(n.Cond, c) }); len(missing) > 0 {
			t.Errorf("%q is not in the index condition: %s", missing, n.Cond)
		}
	}
	if found == 0 {
		t.Errorf("the plan reads no %s: %+v", table, plan)
	}
}

const (
	entryTypes = "text, bigint, bigint, text, text, text, date, bigint"
	quoteTypes = "text, text, text[], timestamptz, timestamptz, timestamptz, text, bigint"
)

// A page of the book is one walk along its index, and reads as much wherever it
// begins, in a revision of many rows as in one of few.
func TestAPageOfTheBookUsesItsIndex(t *testing.T) {
	t.Parallel()
	_, db := storetest.NewWithDB(t)
	grow(t, db.AdminURL(), "ash", 100, 10)
	grow(t, db.AdminURL(), company, 20_000, 3)
	if _, err := connect(t, db.AdminURL()).Exec(scoped(), `vacuum price_entry`); err != nil {
		t.Fatal(err)
	}
	service := connect(t, db.ServiceURL())
	pages := func(mode, item string, revision int) int {
		plan := planOf(t, service, mode, company, entryTypes, postgres.EntriesInOrder,
			fmt.Sprintf("'harrow', 3, %d, '%s', 'main', 'acre', '2020-01-01', 100", revision, item), "analyze, buffers, ")
		walks(t, plan, "price_entry", "price_entry_by_order", "company =", "revision <=", "ROW(revision, item, office, supplier, effective) >")
		return plan.Hit + plan.Read
	}
	for _, mode := range planModes {
		first := pages(mode, "", 1)
		for _, at := range []string{"item-000100", "item-010000", "item-019900"} {
			for revision := 1; revision <= 3; revision++ {
				if n := pages(mode, at, revision); n > first+20 {
					t.Errorf("%s: a page after %s of revision %d reads %d blocks, the first page %d", mode, at, revision, n, first)
				}
			}
		}
	}
}

// Items are found by a descent each, and quotes by the index of their times.
func TestPagesOfItemsAndQuotesUseTheirIndexes(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	grow(t, db.AdminURL(), company, 1000, 30)
	insert(t, s, "first")
	storetest.Copies(t, db, company, "first", 5000)
	if _, err := connect(t, db.AdminURL()).Exec(scoped(), `analyze`); err != nil {
		t.Fatal(err)
	}
	service := connect(t, db.ServiceURL())
	for _, mode := range planModes {
		items := planOf(t, service, mode, company, "text, text, bigint", postgres.ItemsInOrder, "'harrow', 'item-000500', 100", "")
		walks(t, items, "price_entry", "price_entry_pkey", "company =", "item >")
		quotes := planOf(t, service, mode, company, quoteTypes, postgres.QuotesInOrder,
			"'harrow', '', '{}', '2026-01-01Z', '2027-01-01Z', '2026-03-01Z', 'q', 20", "")
		walks(t, quotes, "quote", "quote_newest", "company =", "ROW(created_at, id) >=", "created_at >=", "created_at <")
	}
}
