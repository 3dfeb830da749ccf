package postgres_test

import (
	"errors"
	"fmt"
	"reflect"
	"sync"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/fault"
	"wattle/internal/postgres/storetest"
)

var one = decimal.One

func TestAnEmptyBook(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	head, err := s.Head(scoped(), company)
	if err != nil || head != (book.Head{}) {
		t.Errorf("head %v, %v; want the zero head", head, err)
	}
	if got := price(t, s, "post", "2026-01-01", 0); got != "unknown item" {
		t.Errorf("price %q", got)
	}
	_, _, err = s.Resolve(scoped(), query("2026-01-01", 1, "post"))
	wantFault(t, err, fault.Invalid, "REVISION_UNKNOWN")
}

func TestImportsAddRevisions(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	a := list(t, book.Patch, "post 2026-01-01 10.50", "rail 2026-01-01 6.00")
	b := list(t, book.Patch, "post 2026-01-01 11.00", "rail 2026-01-01 6.00")
	for i, step := range []struct {
		in        book.Import
		revision  book.Revision
		changes   string
		unchanged int
	}{
		{a, 1, "[added post added rail]", 0},
		{b, 2, "[repriced post 4.76%]", 1},
		{b, 2, "[]", 2}, // equal to the current state: no revision
		{a, 3, "[repriced post -4.55%]", 1},
		{list(t, book.Replace, "rail 2026-02-01 6.50"), 4, "[withdrawn post repriced rail 8.33%]", 0},
	} {
		out := mustImport(t, s, fmt.Sprint("r", i), step.in)
		if out.Head.Revision != step.revision || describe(out.Changes) != step.changes || out.Unchanged != step.unchanged {
			t.Errorf("import %d: revision %d, %s, %d unchanged; want %d, %s, %d",
				i, out.Head.Revision, describe(out.Changes), out.Unchanged, step.revision, step.changes, step.unchanged)
		}
		if out.Applied != (out.Head.Revision != out.Base) {
			t.Errorf("import %d: applied %v from %d to %d", i, out.Applied, out.Base, out.Head.Revision)
		}
	}
	for _, c := range []struct {
		r    book.Revision
		asOf string
		want string
	}{
		{1, "2026-01-31", "10.50"}, {2, "2026-01-31", "11.00"}, {3, "2026-01-31", "10.50"},
		{3, "2026-02-01", "10.50"}, {4, "2026-01-31", "10.50"}, {4, "2026-02-01", "withdrawn from 2026-02-01"},
		{4, "2025-12-31", "first price from 2026-01-01"},
	} {
		if got := price(t, s, "post", c.asOf, c.r); got != c.want {
			t.Errorf("post as of %s at revision %d: %s, want %s", c.asOf, c.r, got, c.want)
		}
	}
}

func describe(changes []book.Change) string {
	words := []string{}
	for _, c := range changes {
		w := fmt.Sprintf("%s %s", c.Kind, c.New.Item)
		if c.Kind == book.Repriced {
			w += fmt.Sprintf(" %v%%", c.Percent)
		}
		words = append(words, w)
	}
	return fmt.Sprint(words)
}

func TestADryRunStoresNothing(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	in := list(t, book.Patch, "post 2026-01-01 10.50")
	in.DryRun = true
	out := mustImport(t, s, "r", in)
	if out.Applied || out.Head != (book.Head{}) || describe(out.Changes) != "[added post]" {
		t.Errorf("dry run: %+v", out)
	}
	in.DryRun = false // the same request id: a dry run keeps none
	if out = mustImport(t, s, "r", in); !out.Applied || out.Head.Revision != 1 {
		t.Errorf("import after a dry run: %+v", out)
	}
}

func TestBaseRevisionGuardsAnApprovedDryRun(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	in := list(t, book.Patch, "post 2026-01-01 10.50")
	base := book.Revision(0)
	in.Base = &base
	mustImport(t, s, "a", in)
	in = list(t, book.Patch, "post 2026-01-01 11.00")
	in.Base = &base
	_, err := s.Import(scoped(), importKey("b"), in)
	wantFault(t, err, fault.Conflict, "BOOK_MOVED")
}

func TestARepeatedImportGetsTheFirstAnswer(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	mustImport(t, s, "start", list(t, book.Patch, "post 2026-01-01 10.50", "rail 2026-01-01 6.00", "cap 2026-01-01 2.00", "cap 2026-06-01 2.10"))
	imports := map[string]book.Import{
		"replace": list(t, book.Replace, "post 2026-02-01 11.00", "post 2026-03-01 11.50", "rail 2026-01-01 6.00"),
		"same":    list(t, book.Patch, "rail 2026-01-01 6.00"),
	}
	first := map[string]book.Outcome{}
	for _, id := range []string{"replace", "same"} {
		first[id] = mustImport(t, s, id, imports[id])
	}
	mustImport(t, s, "later", list(t, book.Patch, "post 2026-02-01 19.00", "rail 2026-01-01 9.00"))
	for id, in := range imports {
		again := mustImport(t, s, id, in)
		if !reflect.DeepEqual(again, first[id]) {
			t.Errorf("%s: repeated %s\nfirst %s", id, dump(again), dump(first[id]))
		}
	}
	if got := describe(first["replace"].Changes); got != "[withdrawn cap withdrawn cap repriced post 4.76% repriced post 4.55%]" {
		t.Errorf("replace: %s", got)
	}
	_, err := s.Import(scoped(), key("ImportPrices", "same", "another body"), imports["same"])
	wantFault(t, err, fault.AlreadyExists, "REQUEST_ID_REUSED")
}

func dump(o book.Outcome) string {
	s := fmt.Sprintf("%d %d %v %d", o.Head.Revision, o.Base, o.Applied, o.Unchanged)
	for _, c := range o.Changes {
		s += fmt.Sprintf("\n  %s %v old %v new %v", c.Kind, c.Percent, c.Old, c.New)
	}
	return s
}

func TestAnImportIsAllOrNothing(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	in := list(t, book.Patch, "post 2026-01-01 10.50", "rail 2026-01-01 6.00")
	in.Entries[1].Currency = "XXQ"
	in.Entries[1].Breaks[0].Price = decimal.MustParse("-1")
	_, err := s.Import(scoped(), importKey("bad"), in)
	wantFault(t, err, fault.Invalid, "INVALID_REQUEST")
	if f, ok := errors.AsType[*fault.Error](err); ok && len(f.Violations) != 2 {
		t.Errorf("violations %v, want both", f.Violations)
	}
	if head, err := s.Head(scoped(), company); err != nil || head.Revision != 0 {
		t.Errorf("head %v, %v", head, err)
	}
}

// Two imports at once, from two pools, give two revisions in the order they
// commit, and each sees what the one before it did.
func TestImportsAtOnce(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	other := storetest.Open(t, db)
	const each = 10
	var wg sync.WaitGroup
	outcomes := make([]book.Outcome, 2*each)
	for i := range outcomes {
		store := s
		if i%2 == 1 {
			store = other
		}
		in := list(t, book.Patch, fmt.Sprintf("post 2026-01-01 %d.00", 10+i))
		wg.Go(func() {
			out, err := store.Import(scoped(), importKey(fmt.Sprint(i)), in)
			if err != nil {
				t.Error(err)
			}
			outcomes[i] = out
		})
	}
	wg.Wait()
	seen := map[book.Revision]int{}
	for i, out := range outcomes {
		seen[out.Head.Revision] = i
	}
	for r := book.Revision(1); r <= 2*each; r++ {
		i, ok := seen[r]
		if !ok {
			t.Fatalf("no import made revision %d", r)
		}
		want := fmt.Sprintf("%d.00", 10+i)
		if got := price(t, s, "post", "2026-01-01", r); got != want {
			t.Errorf("revision %d: price %s, want %s", r, got, want)
		}
		c := outcomes[i].Changes[0]
		if r > 1 && (c.Old == nil || c.Old.Revision != r-1) {
			t.Errorf("revision %d was planned against %v, want revision %d", r, c.Old, r-1)
		}
	}
}

// Eight identical calls at once make one revision and get one answer.
func TestARaceOfTheSameImport(t *testing.T) {
	t.Parallel()
	s, db := storetest.NewWithDB(t)
	other := storetest.Open(t, db)
	mustImport(t, s, "start", list(t, book.Patch, "post 2026-01-01 10.00"))
	in := list(t, book.Patch, "post 2026-01-01 11.00", "rail 2026-01-01 6.00")
	outcomes := make([]book.Outcome, 8)
	var wg sync.WaitGroup
	for i := range outcomes {
		store := s
		if i%2 == 1 {
			store = other
		}
		wg.Go(func() {
			out, err := store.Import(scoped(), importKey("race"), in)
			if err != nil {
				t.Error(err)
			}
			outcomes[i] = out
		})
	}
	wg.Wait()
	for _, out := range outcomes {
		if !reflect.DeepEqual(out, outcomes[0]) || out.Head.Revision != 2 || !out.Applied {
			t.Errorf("outcome %s\nwant the same in all: %s", dump(out), dump(outcomes[0]))
		}
	}
	if head, err := s.Head(scoped(), company); err != nil || head.Revision != 2 {
		t.Errorf("head %v, %v", head, err)
	}
}
