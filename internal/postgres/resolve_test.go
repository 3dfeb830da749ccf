package postgres_test

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/money"
	"wattle/internal/postgres/storetest"
)

// The SQL finds what book.Resolve and book.Explain, the definitions, find; and
// imports store what book.Plan plans. Each case is a company of its own in one database.
func TestResolutionIsThatOfTheBook(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		name := fmt.Sprint("company", n)
		ctx := storetest.Context(name)
		var history []book.Entry
		var head book.Head
		for i := range rapid.IntRange(1, 6).Draw(t, "imports") {
			in := importOf(t)
			in.Company = name
			want, unchanged := book.Plan(history, in)
			notices := book.Notices(want, history, in)
			out, err := s.Import(ctx, estimating.RequestKey{Company: name, RequestID: fmt.Sprint(i)}, in)
			if err != nil {
				t.Fatal(err)
			}
			if len(want) > 0 {
				var added []book.Entry
				for _, c := range want {
					e := *c.New
					e.Revision = head.Revision + 1
					added = append(added, e)
				}
				history = append(history, added...)
				head = head.Next(name, book.ContentHash(added))
			}
			if out.Head != head || len(out.Changes) != len(want) || out.Unchanged != unchanged {
				t.Fatalf("import %d: head %v, %d changes, %d unchanged; planned %v, %d, %d",
					i, out.Head, len(out.Changes), out.Unchanged, head, len(want), unchanged)
			}
			// Beside the head, the outcome is that of the definition: every
			// change with what held before, every count and notice.
			if got, planned := said(out, 0), said(notices, head.Revision); got != planned {
				t.Fatalf("import %d: %s\nplanned %s", i, got, planned)
			}
			again, err := s.Import(ctx, estimating.RequestKey{Company: name, RequestID: fmt.Sprint(i)}, in)
			if err != nil || !reflect.DeepEqual(again, out) {
				t.Fatalf("import %d: answered %s\nthen %s, %v", i, said(out, 0), said(again, 0), err)
			}
		}
		for range 5 {
			q := book.Query{
				Company: name, Items: []string{"post", "rail", "cap", "never"}, AsOf: someDate(t),
				Offices:  rapid.SampledFrom([][]string{{"main"}, {"west", "main"}, {"north", "west", "main"}}).Draw(t, "offices"),
				Revision: book.Revision(rapid.Int64Range(0, int64(head.Revision)).Draw(t, "revision")),
				Currency: rapid.SampledFrom([]money.Currency{"USD", "USD", "CAD", ""}).Draw(t, "currency"),
			}
			got, _, err := s.Resolve(ctx, q)
			if err != nil {
				t.Fatal(err)
			}
			if want := book.Resolve(history, q); !reflect.DeepEqual(got, want) {
				t.Fatalf("%v\nSQL  %v\nbook %v\nhistory %v", q, got, want, history)
			}
			wishes := map[string]book.Wish{
				"post": {Unit: "each", Quantity: decimal.MustNew(rapid.Int64Range(0, 9).Draw(t, "quantity"), 0)},
				"rail": {Preferred: []string{"birch"}},
			}
			why, _, err := s.Explain(ctx, q, wishes)
			if err != nil {
				t.Fatal(err)
			}
			if want := book.Explain(history, q, wishes); !reflect.DeepEqual(why, want) {
				t.Fatalf("%v\nSQL  %v\nbook %v\nhistory %v", q, why, want, history)
			}
		}
	})
}

// said is what an outcome tells beside the head; entries without a revision get
// r.
func said(o book.Outcome, r book.Revision) string {
	var b strings.Builder
	entry := func(e *book.Entry) string {
		if e == nil {
			return "-"
		}
		return fmt.Sprintf("%s@%d", e.AppendCanonical(nil), cmp.Or(e.Revision, r))
	}
	fmt.Fprintf(&b, "%+v %q", o.Counts, o.UnknownItems)
	for i, changes := range [][]book.Change{o.Changes, o.Jumps, o.UnitChanges, o.Withdrawals} {
		for _, c := range changes {
			fmt.Fprintf(&b, "\n%s: %s %v: %s -> %s", []string{"change", "jump", "unit", "withdrawal"}[i], c.Kind, c.Percent, entry(c.Old), entry(c.New))
		}
	}
	return b.String()
}

func importOf(t *rapid.T) book.Import {
	in := book.Import{
		Mode:      rapid.SampledFrom([]book.Mode{book.Patch, book.Patch, book.Replace}).Draw(t, "mode"),
		JumpLimit: decimal.MustNew(rapid.Int64Range(0, 500).Draw(t, "limit"), 1), AcceptJumps: true, AcceptUnitChanges: true, AcceptZeroPrices: true,
	}
	in.Entries = rapid.SliceOfNDistinct(rapid.Custom(entryOf), 1, 5, func(e book.Entry) string {
		return fmt.Sprint(e.Item, "/", e.Office, "/", e.Supplier, "/", e.Effective)
	}).Draw(t, "entries")
	return in
}

func entryOf(t *rapid.T) book.Entry {
	e := book.Entry{
		Item:      rapid.SampledFrom([]string{"post", "rail", "cap"}).Draw(t, "item"),
		Office:    rapid.SampledFrom([]string{"main", "west", "north", "east"}).Draw(t, "office"),
		Supplier:  rapid.SampledFrom([]string{"", "acre", "birch"}).Draw(t, "supplier"),
		Effective: someDate(t),
		State:     rapid.SampledFrom([]book.State{book.Priced, book.Priced, book.Priced, book.Withdrawn, book.Inherit}).Draw(t, "state"),
	}
	if e.State != book.Priced {
		return e
	}
	e.Unit, e.Pack, e.Currency = rapid.SampledFrom([]string{"each", "each", "dozen", "bag"}).Draw(t, "unit"), decimal.One, rapid.SampledFrom([]money.Currency{"USD", "USD", "CAD"}).Draw(t, "currency")
	quantity := decimal.Zero
	for range rapid.IntRange(1, 3).Draw(t, "breaks") {
		e.Breaks = append(e.Breaks, book.Break{
			MinQuantity: quantity,
			Price:       decimal.MustNew(rapid.Int64Range(0, 5000).Draw(t, "price"), rapid.IntRange(0, 6).Draw(t, "scale")),
		})
		quantity, _ = quantity.Add(decimal.MustNew(25, 1))
	}
	return e
}

func someDate(t *rapid.T) civil.Date {
	return civil.Must("2026-01-01").AddDays(rapid.IntRange(0, 7).Draw(t, "day"))
}

// Ten later lists, some back-dated, some at the same instant from two
// connections: nothing known at revision 2 ever changes.
func TestLaterImportsNeverChangeThePast(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	other := storetest.Open(t, db)
	mustImport(t, s, "first", list(t, book.Patch, "post 2026-01-01 10.00", "rail 2026-01-01 6.00", "cap 2026-03-01 2.00"))
	mustImport(t, s, "second", list(t, book.Patch, "post 2026-02-01 11.00"))
	items := []string{"post", "rail", "cap", "nail"}
	dates := []string{"2025-12-31", "2026-01-01", "2026-01-15", "2026-02-01", "2026-03-01", "2027-01-01"}
	past := func() (all [][]book.Resolved) {
		for _, d := range dates {
			got, _, err := s.Resolve(scoped(), query(d, 2, items...))
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, got)
		}
		return all
	}
	before := past()
	for i := range 4 {
		mustImport(t, s, fmt.Sprint("later", i), list(t, []book.Mode{book.Patch, book.Replace}[i%2],
			fmt.Sprintf("post 2025-%02d-01 %d.00", i+1, 20+i), fmt.Sprintf("nail 2025-12-31 %d.00", 1+i)))
	}
	var wg sync.WaitGroup
	for i := range 3 {
		a, b := list(t, book.Patch, fmt.Sprintf("post 2026-01-01 %d.50", 30+i)), list(t, book.Replace, fmt.Sprintf("post 2026-01-01 %d.75", 40+i))
		wg.Go(func() { mustImport(t, s, fmt.Sprint("a", i), a) })
		wg.Go(func() { mustImport(t, other, fmt.Sprint("b", i), b) })
		for _, d := range dates { // and while they run
			if got, _, err := s.Resolve(scoped(), query(d, 2, items...)); err != nil || !reflect.DeepEqual(got, before[slices.Index(dates, d)]) {
				t.Errorf("during an import, as of %s at revision 2: %v, %v", d, got, err)
			}
		}
		wg.Wait()
	}
	if head, err := s.Head(scoped(), company); err != nil || head.Revision != 12 {
		t.Errorf("head %v, %v; want revision 12", head, err)
	}
	if got := past(); !reflect.DeepEqual(got, before) {
		t.Errorf("revision 2 changed:\n%v\nbefore\n%v", got, before)
	}
}

func TestHistory(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	mustImport(t, s, "1", list(t, book.Patch, "post 2026-01-01 10.00", "post 2026-06-01 10.50", "rail 2026-01-01 6.00"))
	mustImport(t, s, "2", list(t, book.Replace, "rail 2026-02-01 6.50"))
	show := func(r book.Revision, limit int) string {
		entries, err := s.History(scoped(), book.HistoryQuery{Company: company, Item: "post", Offices: []string{"main"}, Revision: r, Limit: limit})
		if err != nil {
			t.Fatal(err)
		}
		words := []string{}
		for _, e := range entries {
			words = append(words, fmt.Sprintf("%d:%v:%s", e.Revision, e.Effective, e.State))
		}
		return fmt.Sprint(words)
	}
	for _, c := range []struct {
		r     book.Revision
		limit int
		want  string
	}{
		{1, 10, "[1:2026-06-01:priced 1:2026-01-01:priced]"},
		{2, 10, "[2:2026-06-01:withdrawn 2:2026-02-01:withdrawn 1:2026-06-01:priced 1:2026-01-01:priced]"},
		{2, 1, "[2:2026-06-01:withdrawn]"},
	} {
		if got := show(c.r, c.limit); got != c.want {
			t.Errorf("history at revision %d, limit %d: %s, want %s", c.r, c.limit, got, c.want)
		}
	}
}
