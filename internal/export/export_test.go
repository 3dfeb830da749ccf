package export

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"

	"wattle/internal/fault"
	"wattle/internal/spreadsheet"
)

// write is rows as a file.
func write(t testing.TB, table Table, f Format, header bool, rows []Row, facts ...Fact) []byte {
	t.Helper()
	var b bytes.Buffer
	w, err := New(&b, table, f, header)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if err := w.Write(r); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(facts...); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Every type, and whether it may be empty.
var everyType = Table{Name: "every", Columns: []Column{
	{Name: "text", Type: Text}, {Name: "integer", Type: Integer}, {Name: "price", Type: Price}, {Name: "amount", Type: Amount},
	{Name: "date", Type: Date}, {Name: "at", Type: Timestamp}, {Name: "no_integer", Type: Integer, Optional: true},
	{Name: "no_price", Type: Price, Optional: true}, {Name: "no_amount", Type: Amount, Optional: true},
	{Name: "no_date", Type: Date, Optional: true}, {Name: "a_text", Type: Text},
}}

var everyRow = []Row{
	{`=HYPERLINK("http://x","y")`, "-9223372036854775808", "-999999999.999999", "-9999999999999999999", "1900-01-01", "1969-12-31T23:59:59.999999Z", "", "", "", "", ""},
	{"-2 + 3 \"柵\" 🐑, <&>", "9223372036854775807", "0.000001", "0.9999999999999999999", "9999-12-31", "2026-03-01T12:00:00.000001Z", "-1", "1.50", "-0.05", "1969-12-31", "@x"},
	{"line\nbreak", "0", "0.00", "12.3456", "2026-03-01", "2026-03-01T12:00:00Z", "7", "2", "3", "2026-02-28", "'quoted"},
}

// textGen are texts as rows may have them: the contract lets no control character
// into names and descriptions. Line breaks are tried all the same.
func textGen() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.StringMatching(`[=+\-@'＝＋－＠"]?[ -~äß柵🐑\n]{0,12}`),
		rapid.String().Filter(func(s string) bool {
			return utf8.ValidString(s) && !strings.ContainsFunc(s, unicode.IsControl)
		}),
	)
}

// Whoever reads a CSV back by encoding/csv and takes the guard away has the rows
// that went in, and no cell of text begins as a formula does.
func TestCSVRoundTrip(t *testing.T) {
	table := Table{Name: "t", Columns: []Column{{Name: "a", Type: Text}, {Name: "n", Type: Price}, {Name: "b", Type: Text}}}
	rapid.Check(t, func(r *rapid.T) {
		var rows []Row
		for range rapid.IntRange(0, 5).Draw(r, "rows") {
			rows = append(rows, Row{textGen().Draw(r, "a"), rapid.SampledFrom([]string{"-1.5", "3", "0"}).Draw(r, "n"), textGen().Draw(r, "b")})
		}
		file := write(t, table, CSV, true, rows)
		if !utf8.Valid(file) || strings.Count(string(file), "\n") != strings.Count(string(file), "\r\n") {
			r.Fatalf("lines do not end with CRLF: %q", file)
		}
		read, err := csv.NewReader(bytes.NewReader(file)).ReadAll()
		if err != nil || len(read) != len(rows)+1 || !slices.Equal(read[0], table.Names()) {
			r.Fatalf("%q: %v", file, err)
		}
		for i, want := range rows {
			got := read[i+1]
			if spreadsheet.Unguard(got[0]) != want[0] || spreadsheet.Unguard(got[2]) != want[2] || got[1] != want[1] {
				r.Fatalf("row %d is %q, want %q", i, got, want)
			}
			for _, cell := range []string{got[0], got[2]} {
				if first, _ := utf8.DecodeRuneInString(cell); cell != "" && strings.ContainsRune("=+-@\t\r\n＝＋－＠", first) {
					r.Fatalf("%q would be taken for a formula", cell)
				}
			}
		}
		without := write(t, table, CSV, false, rows)
		if head := "a,n,b\r\n"; string(file) != head+string(without) {
			r.Fatalf("without its header it is %q", without)
		}
	})
}

// A JSON export is JSON, of the same cells, both as an array and as lines.
func TestJSON(t *testing.T) {
	var array []map[string]any
	decode := json.NewDecoder(bytes.NewReader(write(t, everyType, JSON, true, everyRow)))
	decode.UseNumber()
	if err := decode.Decode(&array); err != nil {
		t.Fatal(err)
	}
	var lines []map[string]any
	for line := range strings.Lines(string(write(t, everyType, Lines, true, everyRow))) {
		var one map[string]any
		decode := json.NewDecoder(strings.NewReader(line))
		decode.UseNumber()
		if err := decode.Decode(&one); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		lines = append(lines, one)
	}
	for what, read := range map[string][]map[string]any{"array": array, "lines": lines} {
		if len(read) != len(everyRow) {
			t.Fatalf("%s: %d rows", what, len(read))
		}
		for i, row := range everyRow {
			for n, c := range everyType.Columns {
				want := any(row[n])
				switch {
				case c.Type != Text && row[n] == "":
					want = nil
				case c.Type == Integer:
					want = json.Number(row[n])
				}
				if got := read[i][c.Name]; got != want || len(read[i]) != len(everyType.Columns) {
					t.Errorf("%s: row %d, %s is %#v, want %#v", what, i, c.Name, got, want)
				}
			}
		}
	}
	if got := string(write(t, everyType, JSON, true, nil)); got != "[]\n" {
		t.Errorf("no rows: %q", got)
	}
	picked, err := everyType.Pick([]string{"no_date", "text"})
	if err != nil {
		t.Fatal(err)
	}
	if got := string(write(t, picked, Lines, true, everyRow[:1])); got != `{"no_date":null,"text":"=HYPERLINK(\"http://x\",\"y\")"}`+"\n" {
		t.Errorf("picked: %q", got)
	}
}

func TestBadExport(t *testing.T) {
	_, err := Prices.Pick([]string{"item", "colour", "item", ""})
	if e, ok := errors.AsType[*fault.Error](err); !ok || e.Kind != fault.Invalid || len(e.Violations) != 3 || e.Violations[0].Field != "columns[1]" || e.Violations[1].Field != "columns[2]" {
		t.Errorf("columns: %v", err)
	}
	if _, err := Prices.Pick(nil); err == nil {
		t.Error("no columns")
	}
	if _, err := New(&bytes.Buffer{}, Prices, "xml", true); fault.KindOf(err) != fault.Invalid {
		t.Errorf("format: %v", err)
	}
	for column, cell := range map[string]string{"integer": "1.5", "price": "0.0000001", "amount": "x", "date": "2026-02-30", "at": "noon", "no_price": "1000000000000000000"} {
		row := slices.Clone(everyRow[1])
		at := slices.Index(everyType.Names(), column)
		row[at] = cell
		w, err := New(&bytes.Buffer{}, everyType, Parquet, true)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.Write(row); err == nil || !strings.Contains(err.Error(), "column "+column) || !strings.Contains(err.Error(), fmt.Sprintf("%q", cell)) {
			t.Errorf("%s %q: %v", column, cell, err)
		}
	}
	for _, f := range Formats() {
		w, err := New(&bytes.Buffer{}, everyType, f, true)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.Write(Row{"too", "short"}); err == nil {
			t.Errorf("%s took a short row", f)
		}
	}
}

// Every column says what it is, by a name that is a plain word.
func TestColumnsAreDocumented(t *testing.T) {
	for _, table := range Tables() {
		if table.Meaning == "" || len(slices.Compact(slices.Sorted(slices.Values(table.Names())))) != len(table.Columns) {
			t.Errorf("%s: no meaning, or a name twice", table.Name)
		}
		for _, c := range table.Columns {
			if c.Meaning == "" || strings.Trim(c.Name, "abcdefghijklmnopqrstuvwxyz_") != "" {
				t.Errorf("%s: %+v", table.Name, c)
			}
			if numeric := c.Type == Price || c.Type == Amount; numeric && c.Unit == "" {
				t.Errorf("%s: %s has no unit", table.Name, c.Name)
			}
		}
	}
}

func day(n int) string { return time.Unix(int64(n)*86400, 0).UTC().Format(time.DateOnly) }
