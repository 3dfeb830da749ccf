package book

import (
	"bytes"
	"encoding/csv"
	"reflect"
	"strings"
	"testing"

	"wattle/internal/fault"
)

// Whatever the bytes, ParseCSV answers: with entries that a book takes, and
// that read the same when written out again, or with a fault of the file.
func FuzzParseCSV(f *testing.F) {
	for _, seed := range []string{
		"",
		fewColumns,
		fewColumns + "rail,2026-03-01,each,6.48,USD\n",
		allColumns + "rail,2026-03-01,each,6.48,USD,\"2\"\"x4\"\",clôture\",east,acme,2,0,priced\nrail,2026-03-01,each,6.1,USD,\"2\"\"x4\"\",clôture\",east,acme,2,100,\n",
		allColumns + "a,2026-03-01,,,,,,,,,withdrawn\nb,2026-03-01,,,,,,,,,inherit\n",
		fewColumns + "a,2026-03-01,each,-0,USD\n",
		fewColumns + "a,2026-03-01,each\n\"\n",
		fewColumns + "a,2026-03-01,\xF4,1,USD\r\n\r\n",
		"\xEF\xBB\xBF" + fewColumns + "a,2026-03-01,each,1,USD\n",
		"\xFF\xFEi\x00t\x00",
		"item;effective;unit;price;currency\n",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		opt := CSVOptions{MaxRows: 500, MaxBytes: 1 << 16, MaxViolations: 20}
		entries, rows, err := ParseCSV(bytes.NewReader(file), opt)
		if err != nil {
			if kind := fault.KindOf(err); entries != nil || kind != fault.Invalid && kind != fault.Exhausted {
				t.Fatalf("%d entries and a %v: %v", len(entries), kind, err)
			}
			return
		}
		if err := (Import{Mode: Patch, Entries: entries}).Validate(); err != nil {
			t.Fatalf("parsed, and not valid: %v", err)
		}
		written, n := writeCSV(t, entries)
		again, rowsAgain, err := ParseCSV(strings.NewReader(written), CSVOptions{})
		if err != nil || n != rows || rowsAgain != rows || !reflect.DeepEqual(again, entries) {
			t.Fatalf("%d rows %v\nwritten as %d rows\n%s\nread as %d rows %v, %v", rows, entries, n, written, rowsAgain, again, err)
		}
	})
}

// writeCSV is the opposite of ParseCSV; it counts the rows.
func writeCSV(t *testing.T, entries []Entry) (file string, rows int) {
	var b strings.Builder
	b.WriteString(allColumns)
	w := csv.NewWriter(&b)
	write := func(fields ...string) {
		rows++
		if err := w.Write(fields); err != nil {
			t.Fatal(err)
		}
	}
	for _, e := range entries {
		if e.State != Priced {
			write(e.Item, e.Effective.String(), "", "", "", e.Description, e.Office, e.Supplier, "", "", string(e.State))
		}
		for _, br := range e.Breaks {
			write(e.Item, e.Effective.String(), e.Unit, br.Price.String(), e.Currency.String(), e.Description,
				e.Office, e.Supplier, e.Pack.String(), br.MinQuantity.String(), string(e.State))
		}
	}
	w.Flush()
	return b.String(), rows
}
