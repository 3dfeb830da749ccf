package book

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/civil"
)

// The form and the hashes are a promise to whoever checks a book from outside:
// they are spelled out here, independently of the code.
func TestCanonicalForm(t *testing.T) {
	rail := Entry{
		Item: "rail-2x4x8", Office: "main", Effective: civil.Must("2026-03-01"), Revision: 7, State: Priced,
		Description: `2x4 rail, 8 ft, "select" é\`, Currency: "USD", Unit: "each", Pack: decimal.MustParse("1.000"),
		Breaks: []Break{{decimal.MustParse("0.00"), decimal.MustParse("6.48")}, {decimal.MustParse("100"), decimal.MustParse("6.10")}},
	}
	gone := Entry{Item: "post", Office: "west", Supplier: "acre", Effective: civil.Must("2026-03-01"), State: Withdrawn}
	wantRail := `["rail-2x4x8","main","","2026-03-01","priced","2x4 rail, 8 ft, \"select\" é\\","USD","each","1",[["0","6.48"],["100","6.1"]]]` + "\n"
	wantGone := `["post","west","acre","2026-03-01","withdrawn","","","","0",[]]` + "\n"
	if got := string(rail.AppendCanonical(nil)); got != wantRail {
		t.Errorf("%s want %s", got, wantRail)
	}
	if got := string(gone.AppendCanonical(nil)); got != wantGone {
		t.Errorf("%s want %s", got, wantGone)
	}

	content := sha256.Sum256([]byte(wantGone + wantRail)) // by item
	if got := ContentHash([]Entry{rail, gone}); got != content {
		t.Errorf("content hash %x, want %x", got, content)
	}
	zero := [32]byte{}
	first := sha256.Sum256(fmt.Appendf(nil, "wattle.book.v1 \"harrow\"\n1\n%x\n%x\n", zero, content))
	second := sha256.Sum256(fmt.Appendf(nil, "wattle.book.v1 \"harrow\"\n2\n%x\n%x\n", first, content))
	head := Head{}.Next("harrow", content)
	if head != (Head{1, first}) {
		t.Errorf("first head %d %x, want %x", head.Revision, head.Hash, first)
	}
	if head = head.Next("harrow", content); head != (Head{2, second}) {
		t.Errorf("second head %d %x, want %x", head.Revision, head.Hash, second)
	}
	// Pinned, so that no change of the form goes unseen.
	if got := fmt.Sprintf("%x", second[:8]); got != pinned {
		t.Errorf("the second head starts %s, it used to start %s", got, pinned)
	}
}

const pinned = "f4a940f098729aa9"

// Equal forms mean equal content at the same place, and the form is JSON.
func TestCanonicalFormLaws(t *testing.T) {
	text := rapid.StringOfN(rapid.RuneFrom([]rune("a\"\\\n\t\x01é,[]")), 0, 5, -1)
	draw := func(t *rapid.T) Entry {
		e := anyEntry(t)
		e.Description = text.Draw(t, "description")
		for i := range e.Breaks {
			e.Breaks[i].Price = e.Breaks[i].Price.Pad(rapid.IntRange(0, 3).Draw(t, "zeros"))
		}
		return e
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := draw(t), draw(t)
		if rapid.Bool().Draw(t, "alike") {
			b.Item, b.Office, b.Supplier, b.Effective, b.Description = a.Item, a.Office, a.Supplier, a.Effective, a.Description
		}
		fa, fb := a.AppendCanonical(nil), b.AppendCanonical(nil)
		if (string(fa) == string(fb)) != (a.slot() == b.slot() && a.SameContent(b)) {
			t.Fatalf("%v and %v as %s and %s", a, b, fa, fb)
		}
		var fields []any
		if err := json.Unmarshal(fa, &fields); err != nil || len(fields) != 10 || fields[5] != a.Description {
			t.Fatalf("%s: %v", fa, err)
		}
		rows := rapid.SliceOfNDistinct(rapid.Custom(draw), 0, 6, Entry.slot).Draw(t, "rows")
		if ContentHash(rows) != ContentHash(rapid.Permutation(rows).Draw(t, "shuffled")) {
			t.Fatal("the hash depends on the order of rows")
		}
		if len(rows) > 0 && ContentHash(rows) == ContentHash(slices.Clone(rows)[1:]) {
			t.Fatal("a missing row does not show")
		}
	})
}
