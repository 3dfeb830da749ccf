package book

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"wattle/internal/fault"
)

const (
	fewColumns = "item,effective,unit,price,currency\n"
	allColumns = "item,effective,unit,price,currency,description,office,supplier,pack,min_quantity,state\n"
)

func TestCSVReadsEntries(t *testing.T) {
	for name, c := range map[string]struct {
		file string
		opt  CSVOptions
		rows int
		want []string
	}{
		"the needed columns alone": {
			file: fewColumns + "rail,2026-03-01,each,6.48,USD\n", rows: 1,
			want: []string{"r0 rail main - 2026-03-01 6.48"},
		},
		"columns in another order, lines of DOS, no last line end": {
			file: "currency,price,item,unit,effective\r\nCAD,3,rail,lb,2026-03-01\r\nUSD,4,post,each,2026-03-01", rows: 2,
			want: []string{"r0 post main - 2026-03-01 4", "r0 rail main - 2026-03-01 3 currency=CAD unit=lb"},
		},
		"the office of the list": {
			file: allColumns + "a,2026-03-01,each,1,USD,,,,,,\nb,2026-03-01,each,1,USD,,south,,,,\n", opt: CSVOptions{Office: "north"}, rows: 2,
			want: []string{"r0 a north - 2026-03-01 1", "r0 b south - 2026-03-01 1"},
		},
		"breaks in any order make one entry": {
			file: allColumns + `rail,2026-03-01,each,6.10,USD,Rail,main,acme,2,100,
rail,2026-03-01,each,6.48,USD,Rail,main,acme,2.0,,priced
rail,2026-03-01,each,5.95,USD,Rail,main,acme,2,1000,priced
`, rows: 3,
			want: []string{"r0 rail main acme 2026-03-01 6.48 100:6.10 1000:5.95 pack=2 text=Rail"},
		},
		"entries by item, office, supplier and date": {
			file: allColumns + `b,2026-03-01,each,1,USD,,,,,,
a,2026-04-01,each,2,USD,,,,,,
a,2026-03-01,each,3,USD,,,,,,
a,2026-03-01,each,4,USD,,,acme,,,
a,2026-03-01,each,5,USD,,east,,,,
`, rows: 5,
			want: []string{
				"r0 a east - 2026-03-01 5", "r0 a main - 2026-03-01 3", "r0 a main - 2026-04-01 2",
				"r0 a main acme 2026-03-01 4", "r0 b main - 2026-03-01 1",
			},
		},
		"without a price, unit, pack and currency mean nothing": {
			file: allColumns + "a,2026-03-01,,,,,,,,,withdrawn\nb,2026-03-01,lb,,USD,,,,5,,inherit\n", rows: 2,
			want: []string{"r0 a main - 2026-03-01 withdrawn", "r0 b main - 2026-03-01 inherit"},
		},
		"quotes, commas and letters of other tongues": {
			file: allColumns + "a,2026-03-01,each,1,USD,\"2\"\"x4\"\",clôture\",,,,,\n", rows: 1,
			want: []string{`r0 a main - 2026-03-01 1 text=2"x4",clôture`},
		},
		"the least and the most of a price": {
			file: fewColumns + "a,1900-01-01,each,0.000001,USD\nb,9999-12-31,each,999999999.999999,USD\n", rows: 2,
			want: []string{"r0 a main - 1900-01-01 0.000001", "r0 b main - 9999-12-31 999999999.999999"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			entries, rows, err := ParseCSV(strings.NewReader(c.file), c.opt)
			if err != nil {
				t.Fatal(err)
			}
			if got := briefs(entries); !slices.Equal(got, c.want) || rows != c.rows {
				t.Errorf("%d rows\n%s\nwant %d\n%s", rows, strings.Join(got, "\n"), c.rows, strings.Join(c.want, "\n"))
			}
		})
	}
}

// Each want is "PLACE: PART OF THE DESCRIPTION", and nothing else is listed.
func TestCSVNamesThePlace(t *testing.T) {
	row := func(fields string) string { return fewColumns + fields + "\n" }
	full := func(rows ...string) string { return allColumns + strings.Join(rows, "\n") + "\n" }
	utf16 := func(s string, high, low int) string {
		b := make([]byte, 2*len(s))
		for i := range len(s) {
			b[2*i+low], b[2*i+high] = s[i], 0
		}
		return string(b)
	}
	for name, c := range map[string]struct {
		file string
		want []string
	}{
		"empty file":          {"", []string{"line 1: the file is empty"}},
		"no rows":             {fewColumns, []string{"line 2: the file has no rows"}},
		"unknown column":      {"item,effective,unit,cost,currency\n", []string{`line 1, column 4: "cost" is not a column`, `line 1: the column "price" is missing`}},
		"column in capitals":  {"Item,effective,unit,price,currency\n", []string{`line 1, column 1: "Item" is not a column`, `line 1: the column "item" is missing`}},
		"column twice":        {"item,effective,unit,price,currency,item\n", []string{`line 1, column 6: the column "item" appears twice`}},
		"semicolons":          {"item;effective;unit;price;currency\n", []string{"line 1: the columns are not separated by commas"}},
		"tabs":                {"item\teffective\tunit\tprice\tcurrency\n", []string{"line 1: the columns are not separated by commas"}},
		"header after blanks": {"\n\nitem,effective,unit,price\n", []string{`line 3: the column "currency" is missing`}},

		"byte-order mark":     {"\xEF\xBB\xBF" + row("a,2026-03-01,each,1,USD"), []string{"line 1, column 1: the file starts with a byte-order mark"}},
		"mark, and a bad row": {"\xEF\xBB\xBF" + row("a,2026-03-01,each,x,USD"), []string{"line 1, column 1: the file starts with a byte-order mark", "line 2, column 4 (price): "}},
		"UTF-16 LE":           {"\xFF\xFE" + utf16(fewColumns, 1, 0), []string{"line 1, column 1: the file is UTF-16"}},
		"UTF-16 BE":           {"\xFE\xFF" + utf16(fewColumns, 0, 1), []string{"line 1, column 1: the file is UTF-16"}},
		"UTF-16 LE, no mark":  {utf16(fewColumns, 1, 0), []string{"line 1, column 1: the file is UTF-16"}},
		"UTF-16 BE, no mark":  {utf16(fewColumns, 0, 1), []string{"line 1, column 1: the file is UTF-16"}},
		"Windows-1252":        {full("a,2026-03-01,each,1,USD,cl\xF4ture,,,,,"), []string{"line 2, column 6 (description): byte 3 of the text is not UTF-8 (0xF4)"}},
		"cut UTF-8":           {row("a,2026-03-01,\xE2\x82,1,USD"), []string{"line 2, column 3 (unit): byte 1 of the text is not UTF-8 (0xE2)"}},

		"decimal comma":       {row(`a,2026-03-01,each,"6,48",USD`), []string{"line 2, column 4 (price): "}},
		"currency sign":       {row("a,2026-03-01,each,$6.48,USD"), []string{"line 2, column 4 (price): "}},
		"exponent":            {row("a,2026-03-01,each,1e3,USD"), []string{"line 2, column 4 (price): "}},
		"no number":           {row("a,2026-03-01,each,NaN,USD"), []string{"line 2, column 4 (price): "}},
		"empty price":         {row("a,2026-03-01,each,,USD"), []string{"line 2, column 4 (price): is empty"}},
		"negative price":      {row("a,2026-03-01,each,-6.48,USD"), []string{"line 2, column 4 (price): a price is never negative, found -6.48"}},
		"zero price":          {row("a,2026-03-01,each,0.00,USD"), []string{"line 2, column 4 (price): a price of 0 is refused"}},
		"seven decimals":      {row("a,2026-03-01,each,0.0000001,USD"), []string{"line 2, column 4 (price): expected at most 6 decimals"}},
		"price too large":     {row("a,2026-03-01,each,1000000000,USD"), []string{"line 2, column 4 (price): expected less than 1000000000"}},
		"pack of nothing":     {full("a,2026-03-01,each,1,USD,,,,0,,"), []string{"line 2, column 9 (pack): expected a pack above 0"}},
		"negative quantity":   {full("a,2026-03-01,each,1,USD,,,,,-1,"), []string{"line 2, column 10 (min_quantity): a quantity is never negative"}},
		"unknown currency":    {row("a,2026-03-01,each,1,XQX"), []string{`line 2, column 5 (currency): "XQX" is not a currency code`}},
		"currency lower case": {row("a,2026-03-01,each,1,usd"), []string{`line 2, column 5 (currency): "usd" is not a currency code: expected capitals, "USD"`}},
		"currency in words":   {row("a,2026-03-01,each,1,dollars"), []string{`line 2, column 5 (currency): expected an ISO 4217 code such as USD, found "dollars"`}},
		"empty currency":      {row("a,2026-03-01,each,1,"), []string{"line 2, column 5 (currency): is empty"}},

		"date of another form": {row("a,03/01/2026,each,1,USD"), []string{"line 2, column 2 (effective): "}},
		"no such day":          {row("a,2026-02-30,each,1,USD"), []string{"line 2, column 2 (effective): "}},
		"empty date":           {row("a,,each,1,USD"), []string{"line 2, column 2 (effective): is empty"}},
		"date long ago":        {row("a,1899-12-31,each,1,USD"), []string{"line 2, column 2 (effective): expected a date from 1900-01-01 on"}},

		"empty item":        {row(",2026-03-01,each,1,USD"), []string{"line 2, column 1 (item): is empty"}},
		"empty unit":        {row("a,2026-03-01,,1,USD"), []string{"line 2, column 3 (unit): is empty"}},
		"space around":      {row("a ,2026-03-01,each,1,USD"), []string{"line 2, column 1 (item): has a space before or after it"}},
		"hard space around": {row("\u00A0a,2026-03-01,each,1,USD"), []string{"line 2, column 1 (item): has a space before or after it"}},
		"item too long":     {row(strings.Repeat("é", 129) + ",2026-03-01,each,1,USD"), []string{"line 2, column 1 (item): expected at most 128 characters, found 129"}},
		"control character": {row("a\x00,2026-03-01,each,1,USD"), []string{"line 2, column 1 (item): holds the control character U+0000"}},
		"unknown state":     {full("a,2026-03-01,each,1,USD,,,,,,gone"), []string{`line 2, column 11 (state): expected one of "priced", "withdrawn", "inherit", found "gone"`}},
		"priced withdrawal": {full("a,2026-03-01,each,1,USD,,,,,2,withdrawn"), []string{"line 2, column 4 (price): a row that is withdrawn has no price", "line 2, column 10 (min_quantity): a row that is withdrawn has no min_quantity"}},

		"ragged rows":    {fewColumns + "a,2026-03-01,each,1\nb,2026-03-01,each,1,USD,x\n\"\"\n", []string{"line 2: expected 5 fields, found 4", "line 3: expected 5 fields, found 6", "line 4: expected 5 fields, found 1"}},
		"bare quote":     {fewColumns + "a\"b,2026-03-01,each,1,USD\nc,x,each,1,USD\n", []string{"line 2: a quote stands inside a field that is not quoted (character 2)", "line 3, column 2 (effective): "}},
		"unclosed quote": {row(`"a,2026-03-01,each,1,USD`), []string{"line 2: a quoted field is not closed"}},
		"line in a text": {full("a,2026-03-01,each,1,USD,\"two\nlines\",,,,,", "b,x,each,1,USD,,,,,,"), []string{"line 2, column 6 (description): holds the control character U+000A", "line 4, column 2 (effective): "}},

		"duplicate row":         {fewColumns + "a,2026-03-01,each,1,USD\nb,2026-03-01,each,1,USD\na,2026-03-01,each,2,USD\n", []string{"line 4, column 1 (item): the same item, office, supplier, effective date and min_quantity as line 2"}},
		"duplicate by default":  {full("a,2026-03-01,each,1,USD,,,,,,", "a,2026-03-01,each,2,USD,,main,,1,0.0,priced"), []string{"line 3, column 1 (item): the same item, office, supplier, effective date and min_quantity as line 2"}},
		"withdrawn and priced":  {full("a,2026-03-01,,,,,,,,,withdrawn", "a,2026-03-01,each,2,USD,,,,,,"), []string{"line 3, column 1 (item): the same item, office, supplier and effective date as line 2"}},
		"priced and withdrawn":  {full("a,2026-03-01,each,2,USD,,,,,,", "a,2026-03-01,,,,,,,,,withdrawn"), []string{"line 3, column 1 (item): the same item, office, supplier and effective date as line 2"}},
		"no break from 0":       {full("a,2026-03-01,each,1,USD,,,,,10,", "a,2026-03-01,each,1,USD,,,,,20,"), []string{"line 2: this item, office, supplier and effective date has no row with min_quantity 0"}},
		"break 0 is wrong":      {full("a,2026-03-01,each,x,USD,,,,,0,", "a,2026-03-01,each,1,USD,,,,,20,"), []string{"line 2, column 4 (price): "}},
		"breaks that disagree":  {full("a,2026-03-01,each,2,USD,x,,,1,0,", "a,2026-03-01,lb,1,CAD,y,,,2,20,"), []string{"line 3, column 3 (unit): differs from line 2", "line 3, column 5 (currency): differs from line 2", "line 3, column 6 (description): differs from line 2", "line 3, column 9 (pack): differs from line 2"}},
		"more breaks than most": {full(manyBreaks(51)...), []string{"line 2: expected at most 50 rows for one item, office, supplier and effective date, found 51"}},
	} {
		t.Run(name, func(t *testing.T) {
			entries, _, err := ParseCSV(strings.NewReader(c.file), CSVOptions{})
			e, ok := errors.AsType[*fault.Error](err)
			if !ok || e.Kind != fault.Invalid || e.Reason != "INVALID_PRICE_LIST" || entries != nil {
				t.Fatalf("%d entries, %v", len(entries), err)
			}
			var got []string
			for _, v := range e.Violations {
				got = append(got, v.Field+": "+v.Description)
			}
			if !slices.EqualFunc(got, c.want, strings.HasPrefix) {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(c.want, "\n"))
			}
		})
	}
}

func manyBreaks(n int) []string {
	rows := make([]string, n)
	for i := range rows {
		rows[i] = fmt.Sprintf("a,2026-03-01,each,%d,USD,,,,,%d,", 1000-i, i)
	}
	return rows
}

func TestCSVTakesTheMostBreaks(t *testing.T) {
	entries, rows, err := ParseCSV(strings.NewReader(allColumns+strings.Join(manyBreaks(MaxBreaks), "\n")), CSVOptions{})
	if err != nil || rows != MaxBreaks || len(entries) != 1 || len(entries[0].Breaks) != MaxBreaks {
		t.Errorf("%d rows, %d entries, %v", rows, len(entries), err)
	}
}

// Everything wrong comes at once, in the order of the file, whichever pass
// found it.
func TestCSVListsEverything(t *testing.T) {
	const file = allColumns + `a,2026-03-01,each,1,USD,,,,,10,
,2026-13-01,each,-1,XQX,,,,,,
b,2026-03-01,each
c,2026-03-01,each,1,USD,,,,,,
c,2026-03-01,each,1,USD,,,,,,
`
	_, rows, err := ParseCSV(strings.NewReader(file), CSVOptions{})
	e, ok := errors.AsType[*fault.Error](err)
	if !ok {
		t.Fatal(err)
	}
	var places []string
	for _, v := range e.Violations {
		places = append(places, v.Field)
	}
	want := []string{
		"line 2", "line 3, column 1 (item)", "line 3, column 2 (effective)", "line 3, column 4 (price)", "line 3, column 5 (currency)",
		"line 4", "line 6, column 1 (item)",
	}
	if !slices.Equal(places, want) || rows != 5 || e.Message != "the price list has 7 thing(s) to put right" {
		t.Errorf("%d rows, %v\nwant %q", rows, e, want)
	}

	_, _, err = ParseCSV(strings.NewReader(file), CSVOptions{MaxViolations: 2})
	e, ok = errors.AsType[*fault.Error](err)
	if !ok || len(e.Violations) != 3 || e.Violations[2] != (fault.Violation{Field: "file", Description: "5 more, not listed"}) ||
		e.Message != "the price list has 7 thing(s) to put right" {
		t.Errorf("with a limit: %v", err)
	}
}

func TestCSVBounds(t *testing.T) {
	const file = fewColumns + "a,2026-03-01,each,1,USD\nb,2026-03-01,each,1,USD\n"
	size := int64(len(file))
	for name, c := range map[string]struct {
		opt  CSVOptions
		want string // "" for none
	}{
		"just fits":         {CSVOptions{MaxBytes: size, MaxRows: 2}, ""},
		"a byte over":       {CSVOptions{MaxBytes: size - 1}, fmt.Sprintf("at most %d bytes", size-1)},
		"cut in the header": {CSVOptions{MaxBytes: 1}, "at most 1 bytes"},
		"a row over":        {CSVOptions{MaxRows: 1}, "at most 1 rows"},
	} {
		for way, r := range map[string]io.Reader{"whole": strings.NewReader(file), "by bytes": iotest.OneByteReader(strings.NewReader(file))} {
			_, _, err := ParseCSV(r, c.opt)
			if c.want == "" {
				if err != nil {
					t.Errorf("%s, %s: %v", name, way, err)
				}
				continue
			}
			e, ok := errors.AsType[*fault.Error](err)
			if !ok || e.Kind != fault.Exhausted || e.Reason != "PRICE_LIST_TOO_LARGE" || !strings.Contains(e.Message, c.want) {
				t.Errorf("%s, %s: %v, want %q", name, way, err, c.want)
			}
		}
	}
}

// What the reader itself says is not taken for a fault of the file, even after
// bad rows.
func TestCSVPassesTheReadersError(t *testing.T) {
	gone := errors.New("connection gone")
	for _, start := range []string{"", "item,eff", fewColumns + "a,bad,each,1,USD\n"} {
		_, _, err := ParseCSV(io.MultiReader(bytes.NewReader([]byte(start)), iotest.ErrReader(gone)), CSVOptions{})
		if err != gone { //nolint:errorlint // the very error, as documented
			t.Errorf("after %q: %v", start, err)
		}
	}
}
