package export

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
	"github.com/govalues/decimal"
)

// readParquet reads a file by Apache Arrow, which reads the format by code of its own.
func readParquet(t testing.TB, content []byte) (*file.Reader, arrow.Table) {
	t.Helper()
	reader, err := file.NewParquetReader(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = reader.Close() }) // it was only read
	rows, err := pqarrow.NewFileReader(reader, pqarrow.ArrowReadProperties{}, memory.DefaultAllocator)
	if err != nil {
		t.Fatal(err)
	}
	table, err := rows.ReadTable(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(table.Release)
	return reader, table
}

var arrowTypes = map[Type]string{
	Text: "utf8", Integer: "int64", Price: "decimal(15, 6)", Amount: "decimal(38, 19)", Date: "date32", Timestamp: "timestamp[us, tz=UTC]",
}

// cellText is a cell as a Row spells it: decimals with all their zeros.
func cellText(t testing.TB, cells arrow.Array, i int) string {
	t.Helper()
	if cells.IsNull(i) {
		return ""
	}
	switch cells := cells.(type) {
	case *array.String:
		return cells.Value(i)
	case *array.Int64:
		return fmt.Sprint(cells.Value(i))
	case *array.Decimal128:
		return cells.Value(i).ToString(cells.DataType().(*arrow.Decimal128Type).Scale)
	case *array.Date32:
		return cells.Value(i).ToTime().Format(time.DateOnly)
	case *array.Timestamp:
		return cells.Value(i).ToTime(arrow.Microsecond).Format(time.RFC3339Nano)
	default:
		t.Fatalf("unexpected cells: %T", cells)
		return ""
	}
}

// sameCells compares every cell of a file with what was written.
func sameCells(t testing.TB, table Table, content []byte, rows []Row) {
	t.Helper()
	_, read := readParquet(t, content)
	if int(read.NumRows()) != len(rows) || int(read.NumCols()) != len(table.Columns) {
		t.Fatalf("%d rows of %d columns, want %d of %d", read.NumRows(), read.NumCols(), len(rows), len(table.Columns))
	}
	for n, c := range table.Columns {
		field := read.Schema().Field(n)
		if field.Name != c.Name || field.Type.String() != arrowTypes[c.Type] || field.Nullable != c.Optional {
			t.Errorf("column %d is %v, want %s %s, null %t", n, field, c.Name, arrowTypes[c.Type], c.Optional)
		}
		at := 0
		for _, chunk := range read.Column(n).Data().Chunks() {
			for i := range chunk.Len() {
				got, want := cellText(t, chunk, i), table.cell(rows[at], n)
				if c.Type == Price || c.Type == Amount {
					got, want = value(t, got), value(t, want)
				}
				if got != want || chunk.IsNull(i) != (c.Optional && want == "") {
					t.Fatalf("row %d, %s is %q, want %q", at, c.Name, got, want)
				}
				at++
			}
		}
		if at != len(rows) {
			t.Errorf("%s has %d cells", c.Name, at)
		}
	}
}

func value(t testing.TB, text string) string {
	t.Helper()
	if text == "" {
		return ""
	}
	// A DECIMAL of 38 digits may have more zeros than a decimal of ours holds.
	for len(text) > 1 && bytes.ContainsRune([]byte(text), '.') && (text[len(text)-1] == '0' || text[len(text)-1] == '.') {
		end := text[len(text)-1]
		text = text[:len(text)-1]
		if end == '.' {
			break
		}
	}
	d, err := decimal.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d.Trim(0).String()
}

func TestParquetIsReadByAnother(t *testing.T) {
	sameCells(t, everyType, write(t, everyType, Parquet, true, everyRow), everyRow)
	picked, err := everyType.Pick([]string{"no_amount", "at", "text"})
	if err != nil {
		t.Fatal(err)
	}
	sameCells(t, picked, write(t, picked, Parquet, true, everyRow), everyRow)
	sameCells(t, everyType, write(t, everyType, Parquet, true, nil), nil)
}

// A long file has row groups of bounded size, holds its facts, and is the same
// bytes each time.
func TestALongParquetFile(t *testing.T) {
	rows := make([]Row, 2*rowsInGroup+17)
	for i := range rows {
		rows[i] = Row{fmt.Sprint(1 + i/1000), fmt.Sprintf("item-%06d", i), "main", "acre", day(20_000 + i%100), "priced", "", "USD", "each",
			"1", "0", fmt.Sprintf("%d.%02d", i%500, i%100)}
		if i%10 == 0 {
			rows[i] = Row{fmt.Sprint(1 + i/1000), fmt.Sprintf("item-%06d", i), "main", "", day(20_000), "withdrawn", "", "", "", "", "", ""}
		}
	}
	facts := []Fact{{"revision", "102"}, {"company", "harrow"}}
	content := write(t, Prices, Parquet, true, rows, facts...)
	sameCells(t, Prices, content, rows)
	reader, _ := readParquet(t, content)
	if n := reader.NumRowGroups(); n != 3 {
		t.Errorf("%d row groups", n)
	}
	for i := range reader.NumRowGroups() {
		if n := reader.RowGroup(i).NumRows(); n > rowsInGroup {
			t.Errorf("row group %d has %d rows", i, n)
		}
	}
	for _, fact := range append(facts, Fact{"table", "prices"}) {
		if v := reader.MetaData().KeyValueMetadata().FindValue("wattle." + fact.Name); v == nil || *v != fact.Value {
			t.Errorf("%s: %v", fact.Name, v)
		}
	}
	for range 3 {
		if !bytes.Equal(write(t, Prices, Parquet, true, rows, facts...), content) {
			t.Fatal("the same rows gave other bytes")
		}
	}
}
