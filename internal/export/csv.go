package export

import (
	"bufio"
	"encoding/csv"
	"io"
	"strings"
)

// csvFile is RFC 4180: UTF-8, lines that end with CRLF, and quotes where they are
// needed.
type csvFile struct {
	out    *csv.Writer
	buffer *bufio.Writer
	table  Table
	cells  []string
	rows   int64
}

func newCSV(w io.Writer, t Table, header bool) (*csvFile, error) {
	buffer := bufio.NewWriterSize(w, 64<<10)
	f := &csvFile{out: csv.NewWriter(buffer), buffer: buffer, table: t, cells: make([]string, len(t.Columns))}
	f.out.UseCRLF = true
	if !header {
		return f, nil
	}
	return f, f.out.Write(t.Names())
}

func (f *csvFile) Write(r Row) error {
	f.rows++
	if err := wrongWidth(f.rows, f.table, r); err != nil {
		return err
	}
	for i, c := range f.table.Columns {
		if f.cells[i] = f.table.cell(r, i); c.Type == Text {
			f.cells[i] = Guard(f.cells[i])
		}
	}
	return f.out.Write(f.cells)
}

func (f *csvFile) Close(...Fact) error {
	f.out.Flush()
	if err := f.out.Error(); err != nil {
		return err
	}
	return f.buffer.Flush()
}

// actsUp are the characters by which a spreadsheet takes a cell for a formula, the
// wide forms among them, and the guard itself [OWASP, CSV Injection; from memory].
const actsUp = "=+-@\t\r\n＝＋－＠'"

// Guard makes text safe to open in a spreadsheet: an apostrophe goes before text
// that would be taken for a formula, and before text that begins with an
// apostrophe, so that Unguard gives back what went in. Only columns of text are
// guarded: a number stays one, with its sign.
func Guard(text string) string {
	if text != "" && strings.ContainsRune(actsUp, firstRune(text)) {
		return "'" + text
	}
	return text
}

// Unguard takes away the apostrophe that Guard put before a text.
func Unguard(cell string) string { return strings.TrimPrefix(cell, "'") }

func firstRune(text string) rune {
	for _, r := range text {
		return r
	}
	return 0
}
