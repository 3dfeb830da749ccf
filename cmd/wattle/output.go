package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"wattle/internal/spreadsheet"
)

// The formats of --format.
const (
	asText = "text"
	asJSON = "json"
	asCSV  = "csv"
	asSVG  = "svg"
)

// printMessage writes a message as JSON with the field names of the .proto
// files. protojson varies its white space on purpose, so it is indented anew.
func printMessage(w io.Writer, m proto.Message) error {
	data, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(m)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, data, "", "  "); err != nil {
		return err
	}
	out.WriteByte('\n')
	_, err = w.Write(out.Bytes())
	return err
}

// table is rows under a head, for people or as CSV.
type table struct {
	head []string
	rows [][]string
	// right are the columns of figures, which text aligns to the right.
	right map[int]bool
}

func newTable(head ...string) *table {
	t := &table{right: make(map[int]bool)}
	for i, name := range head {
		if figures, ok := strings.CutPrefix(name, ">"); ok {
			name, t.right[i] = figures, true
		}
		t.head = append(t.head, name)
	}
	return t
}

func (t *table) add(cells ...string) { t.rows = append(t.rows, cells) }

// filled reports whether a column has anything in it.
func (t *table) filled(column int) bool {
	return slices.ContainsFunc(t.rows, func(row []string) bool { return row[column] != "" })
}

// drop takes a column away.
func (t *table) drop(column int) {
	t.head = slices.Delete(t.head, column, column+1)
	for i := range t.rows {
		t.rows[i] = slices.Delete(t.rows[i], column, column+1)
	}
	right := make(map[int]bool, len(t.right))
	for c, is := range t.right {
		if c > column {
			c--
		}
		right[c] = right[c] || is
	}
	t.right = right
}

func (t *table) print(w io.Writer, format string) error {
	if format == asCSV {
		rows := [][]string{t.head}
		for _, row := range t.rows {
			safe := make([]string, len(row))
			for i, cell := range row {
				safe[i] = spreadsheet.Cell(cell)
			}
			rows = append(rows, safe)
		}
		return csv.NewWriter(w).WriteAll(rows)
	}
	return t.text(w)
}

// text sets every column as wide as its widest cell.
func (t *table) text(w io.Writer) error {
	var plain bytes.Buffer
	out := tabwriter.NewWriter(&plain, 0, 0, 2, ' ', 0)
	widths := make([]int, len(t.head))
	all := append([][]string{t.head}, t.rows...)
	for _, row := range all {
		for i, cell := range row {
			widths[i] = max(widths[i], len([]rune(cell)))
		}
	}
	for _, row := range all {
		cells := make([]string, len(row))
		for i, cell := range row {
			if t.right[i] {
				cell = fmt.Sprintf("%*s", widths[i], cell)
			}
			cells[i] = cell
		}
		fmt.Fprintln(out, strings.Join(cells, "\t"))
	}
	if err := out.Flush(); err != nil {
		return err
	}
	for line := range strings.Lines(plain.String()) {
		if _, err := fmt.Fprintln(w, strings.TrimRight(line, " \n")); err != nil {
			return err
		}
	}
	return nil
}
