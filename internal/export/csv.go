package export

import (
	"bufio"
	"encoding/csv"
	"io"

	"wattle/internal/spreadsheet"
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
			f.cells[i] = spreadsheet.Guard(f.cells[i])
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
