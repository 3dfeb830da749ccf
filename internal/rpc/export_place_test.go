package rpc

import (
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
)

// Whatever stands in a token is refused or gives a place that a page may begin
// after; a place comes back from its token as it was.
func FuzzExportPlace(f *testing.F) {
	f.Add("3", "3\x1fpost\x1fmain\x1f\x1f2026-03-01", int64(3), "post", "acre", int64(1772000000))
	f.Add("2026-03-01\x1f3", "post\x1facre", int64(0), `=1+1,"a"`, "", int64(0))
	f.Add("2026-03-05T12:00:00.000001Z", "q1\x1f7", int64(1<<62), "柵", "é", int64(-1))
	f.Add("-1", "q1\x1f-7", int64(1), "a", "b", int64(253402300799))
	f.Fuzz(func(t *testing.T, a, b string, revision int64, item, supplier string, seconds int64) {
		refused := func(err error) bool {
			if err == nil {
				return false
			}
			if e, ok := errors.AsType[*fault.Error](err); !ok || e.Kind != fault.Invalid || len(e.Violations) != 1 || e.Violations[0].Field != "page_token" {
				t.Errorf("%q, %q: %v", a, b, err)
			}
			return true
		}
		if until, at, err := readEntryPlace(place{a, b}); !refused(err) && (at.Item == "" || at.Revision < 0 || at.Revision > *until || at.Effective.IsZero()) {
			t.Errorf("%q, %q gave %v up to %d", a, b, at, *until)
		}
		if day, r, at, err := readListPlace(place{a, b}); !refused(err) && (at.Item == "" || *r < 0 || day.IsZero()) {
			t.Errorf("%q, %q gave %v of %v at %d", a, b, at, day, *r)
		}
		if at, err := readLinePlace(place{a, b}); !refused(err) && (at.ID == "" || at.Line < 1) {
			t.Errorf("%q, %q gave %v", a, b, at)
		}
		control := func(r rune) bool { return r < ' ' }
		if !utf8.ValidString(item) || !utf8.ValidString(supplier) || strings.ContainsFunc(item+supplier, control) {
			return // no names
		}
		if item == "" || revision < 0 || seconds < 0 || seconds > 253402300799 {
			return
		}
		made := time.Unix(seconds, 123456000).UTC()
		day := civil.Of(made)
		req := &wattlev1.ExportPricesRequest{Parent: harrowParent}
		through := func(p place) place {
			at, err := readPageToken(req, pageToken(req, p))
			if err != nil {
				t.Fatal(err)
			}
			return *at
		}
		entry := book.Entry{Item: item, Office: "main", Supplier: supplier, Effective: day, Revision: book.Revision(revision)}
		if until, at, err := readEntryPlace(through(placeOfEntry(entry.Revision, entry))); err != nil || int64(*until) != revision || at != estimating.PlaceOf(entry) {
			t.Errorf("%v came back as %v, %v", entry, at, err)
		}
		for _, want := range []estimating.PriceListPlace{{Item: item}, {Item: item, Supplier: &supplier}} {
			if on, r, at, err := readListPlace(through(placeInList(day, entry.Revision, want))); err != nil || on != day || *r != entry.Revision || !reflect.DeepEqual(at, want) {
				t.Errorf("%v came back as %v, %v", want, at, err)
			}
		}
		line := estimating.QuotePlace{CreatedAt: made, ID: item, Line: 7}
		if at, err := readLinePlace(through(placeOfLine(line))); err != nil || at != line {
			t.Errorf("%v came back as %v, %v", line, at, err)
		}
	})
}
