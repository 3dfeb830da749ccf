// Package export writes rows for people who analyse them: as CSV, as JSON and as
// Parquet, each from the one description of a table's columns, which is their
// documentation too. The same rows give the same bytes.
package export

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"wattle/internal/fault"
)

// Type is what the cells of a column hold, and how they are spelled in a Row.
type Type string

const (
	// Text is any text; empty where there is none.
	Text Type = "text"
	// Integer is digits, perhaps after a sign, within 64 bits.
	Integer Type = "integer"
	// Price is a decimal as the price book has them: under 1,000,000,000 and of
	// at most 6 decimals.
	Price Type = "decimal(15,6)"
	// Amount is a decimal of any scale with at most 19 digits, which is what
	// amounts of quotes may have.
	Amount Type = "decimal(38,19)"
	// Date is a day, 2026-03-01.
	Date Type = "date"
	// Timestamp is an instant to the microsecond in UTC,
	// 2026-03-01T12:00:00.000001Z.
	Timestamp Type = "timestamp"
)

// Column describes the cells of a column.
type Column struct {
	Name string
	Type Type
	// Optional: a cell may be empty, which is null where the format has that.
	// Text is never null.
	Optional bool
	// Unit is what numbers are in.
	Unit    string
	Meaning string
}

// Table is a kind of export.
type Table struct {
	Name, Meaning string
	Columns       []Column
	// from says which cell of a row each column is; nil where all are, in order.
	from []int
}

// Row is a cell for each column of a whole table.
type Row []string

// cell is what a row has for the column at an index.
func (t Table) cell(r Row, i int) string {
	if t.from != nil {
		i = t.from[i]
	}
	return r[i]
}

// Pick is the table with the columns named and no others, in that order. Rows
// still have a cell for each column of the whole table. Names that are none, or
// that come twice, are one Invalid error.
func (t Table) Pick(names []string) (Table, error) {
	picked := t
	picked.Columns, picked.from = nil, []int{}
	v := &fault.List{}
	for i, name := range names {
		at := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Name == name })
		v.At("columns").Index(i).Require(at >= 0, "", "expected one of %s, found %q", strings.Join(t.Names(), ", "), name)
		v.At("columns").Index(i).Require(!slices.Contains(names[:i], name), "", "the column %q is named twice", name)
		if at >= 0 {
			picked.Columns, picked.from = append(picked.Columns, t.Columns[at]), append(picked.from, at)
		}
	}
	v.Require(len(names) > 0, "columns", "expected a column at least")
	return picked, v.Err()
}

// Names are those of the columns.
func (t Table) Names() []string {
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = c.Name
	}
	return names
}

// Format is how rows are written.
type Format string

const (
	CSV     Format = "csv"
	JSON    Format = "json"  // one array
	Lines   Format = "jsonl" // an object a line
	Parquet Format = "parquet"
)

// Formats are all of them.
func Formats() []Format { return []Format{CSV, JSON, Lines, Parquet} }

// Fact is something true of a whole export, such as the revision it goes up to.
type Fact struct{ Name, Value string }

// Writer writes the rows of one file. After an error the file is of no use.
type Writer interface {
	// Write adds a row, which the caller may use again.
	Write(Row) error
	// Close ends the file, but not what it is written to. Parquet files hold the
	// facts, by name under "wattle."; the others have no place for them.
	Close(facts ...Fact) error
}

// New starts a file. Header says whether a CSV has its line of names: one that is
// to be appended to another has none.
func New(w io.Writer, t Table, f Format, header bool) (Writer, error) {
	switch f {
	case CSV:
		return newCSV(w, t, header)
	case JSON, Lines:
		return newJSON(w, t, f), nil
	case Parquet:
		return newParquet(w, t), nil
	default:
		v := &fault.List{}
		v.Add("format", "expected one of %v, found %q", Formats(), f)
		return nil, v.Err()
	}
}

// wrongCell says which cell is not of its column's type.
func wrongCell(row int64, c Column, cell string, why error) error {
	return fault.Wrap(why, fault.Internal, "CELL_UNREADABLE", "row %d, column %s: %q is no %s", row, c.Name, cell, c.Type)
}

func wrongWidth(row int64, t Table, r Row) error {
	want := len(t.Columns)
	if t.from != nil {
		want = slices.Max(t.from) + 1
	}
	if len(r) >= want {
		return nil
	}
	return fmt.Errorf("row %d has %d cells for %d columns", row, len(r), want)
}
