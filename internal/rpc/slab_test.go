package rpc

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"wattle/internal/measure"
)

// What was handed out stays as it is while more is, over the ends of many pieces.
func TestTextsStay(t *testing.T) {
	var all texts
	var got, want []string
	for n := range 300 {
		text := bytes.Repeat([]byte{byte('a' + n%26)}, n*n%1500)
		got, want = append(got, all.of(text)), append(want, string(text))
		clear(text) // the caller writes it over
	}
	if !slices.Equal(got, want) {
		t.Error("a text changed after it was cut")
	}
}

func TestSlab(t *testing.T) {
	all := make(slab[int], 3)
	var got []*int
	for n := range 100 {
		value := all.next()
		if *value != 0 {
			t.Fatalf("value %d was %d before it was handed out", n, *value)
		}
		*value = n
		got = append(got, value)
		pair := all.cut(2)
		_ = append(pair, -1) // nothing that comes later
		pair[0], pair[1] = -1, -1
	}
	for n, value := range got {
		if *value != n {
			t.Errorf("value %d became %d", n, *value)
		}
	}
	if n := len(all.cut(5 * slabPiece)); n != 5*slabPiece {
		t.Errorf("%d values in place of %d", n, 5*slabPiece)
	}
}

// A length is the same message each time, and one that is printed as another is not
// it, also where many lengths come to one place.
func TestLengths(t *testing.T) {
	ls := new(lengths)
	for range 2 {
		for l := -2 * measure.Foot; l < 40*measure.Foot; l += measure.Inch / 16 {
			p, rounded := ls.of(l), ls.printed(l, l+measure.Inch)
			if p != ls.of(l) || p.GetNanometres() != int64(l) || p.GetPrinted() != l.Imperial() {
				t.Fatalf("%v is %v", l, p)
			}
			if rounded != ls.printed(l, l+measure.Inch) || rounded.GetNanometres() != int64(l) || rounded.GetPrinted() != (l+measure.Inch).Imperial() {
				t.Fatalf("%v, printed an inch longer, is %v", l, rounded)
			}
		}
	}
	long := 40 * 5280 * measure.Foot * 1000
	if got := ls.of(long + 1).GetPrinted(); got != (long+1).Imperial() || !strings.HasSuffix(got, " ft") {
		t.Errorf("%q", got)
	}
}
