package book

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

func (l *PriceList) readCSV(r io.Reader, yield func(Row, error) bool) {
	bounded := &boundedReader{r: r, left: l.opt.MaxBytes}
	in := bufio.NewReaderSize(bounded, 64<<10)
	readable := l.encoding(in)
	goOn := true
	if readable {
		goOn = l.readRows(in, yield)
	}
	if goOn && bounded.err != nil {
		yield(Row{}, bounded.err)
	}
}

// encoding looks at the first bytes and reports whether the rest can be read.
func (l *PriceList) encoding(in *bufio.Reader) bool {
	start, _ := in.Peek(3) // an error comes again at the first read
	switch {
	case bytes.HasPrefix(start, []byte("\xEF\xBB\xBF")):
		l.problems.add(1, 1, "line 1, column 1", "the file starts with a byte-order mark (EF BB BF): save it as UTF-8 without one")
		_, _ = in.Discard(3) // the bytes were just seen
	case bytes.HasPrefix(start, []byte("\xFF\xFE")), bytes.HasPrefix(start, []byte("\xFE\xFF")),
		len(start) > 1 && (start[0] == 0) != (start[1] == 0):
		l.problems.add(1, 1, "line 1, column 1", "the file is UTF-16: save it as UTF-8 without a byte-order mark")
		return false
	}
	return true
}

// readRows reads the header and the rows. It reports false where the reader of
// the rows wants no more, or was told an error already; the error of the
// underlying reader it leaves to the caller.
func (l *PriceList) readRows(in io.Reader, yield func(Row, error) bool) bool {
	c := csv.NewReader(in)
	c.FieldsPerRecord = -1 // checked here, so that every ragged row is listed
	c.ReuseRecord = true
	width := 0
	for first := true; ; first = false {
		record, err := c.Read()
		var syntax *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			if first {
				l.problems.add(1, 1, "line 1", "the file is empty; the first line must name the columns: %s", allNames())
			} else if l.rows == 0 && l.problems.count == 0 {
				l.problems.add(2, 1, "line 2", "the file has no rows")
			}
			return true
		case errors.As(err, &syntax):
			l.problems.add(syntax.StartLine, 0, fmt.Sprintf("line %d", syntax.StartLine), "%s", quoting(syntax))
			if first {
				return true
			}
			continue
		case err != nil:
			return true // the bounded reader has it
		}
		line, _ := c.FieldPos(0)
		if first {
			if width = len(record); !l.header(record, line) {
				return true
			}
			continue
		}
		if l.rows++; l.rows > l.opt.MaxRows {
			yield(Row{}, tooLarge("rows", int64(l.opt.MaxRows)))
			return false
		}
		if len(record) != width {
			l.problems.add(line, 0, fmt.Sprintf("line %d", line), "expected %d fields, found %d", width, len(record))
			continue
		}
		if row, ok := l.row(record, line); ok && !yield(row, nil) {
			return false
		}
	}
}

func quoting(e *csv.ParseError) string {
	if errors.Is(e.Err, csv.ErrQuote) {
		return fmt.Sprintf(`a quoted field is not closed, or text follows its closing quote (line %d, character %d); a quote inside it is written twice`, e.Line, e.Column)
	}
	return fmt.Sprintf(`a quote stands inside a field that is not quoted (character %d); quote the field and write the quote twice`, e.Column)
}

func allNames() string {
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = c.name
	}
	return strings.Join(names, ",")
}

// header reads the column names and reports whether rows can be understood.
func (l *PriceList) header(record []string, line int) bool {
	before := l.problems.count
	if len(record) == 1 && strings.ContainsAny(record[0], ";\t") {
		l.problems.add(line, 1, fmt.Sprintf("line %d", line), "the columns are not separated by commas; expected %s", allNames())
		return false
	}
	for i, name := range record {
		at := fmt.Sprintf("line %d, column %d", line, i+1)
		switch c := slices.IndexFunc(columns[:], func(c column) bool { return c.name == name }); {
		case c < 0:
			l.problems.add(line, i+1, at, "%.40q is not a column of a price list; expected %s", name, allNames())
		case l.at[c] != noColumn:
			l.problems.add(line, i+1, at, "the column %q appears twice", name)
		default:
			l.at[c] = i
		}
	}
	for i, c := range columns {
		if c.required && l.at[i] == noColumn {
			l.problems.add(line, len(record)+1, fmt.Sprintf("line %d", line), "the column %q is missing", c.name)
		}
	}
	return l.problems.count == before
}

// boundedReader stops a file that is too large, and keeps the reader's own
// error apart from the errors of the CSV in it.
type boundedReader struct {
	r    io.Reader
	left int64
	size int64
	err  error
}

func (b *boundedReader) Read(buf []byte) (int, error) {
	n, err := b.r.Read(buf)
	b.size += int64(n)
	if b.left -= int64(n); b.left < 0 {
		b.err = tooLarge("bytes", b.size+b.left)
		return 0, b.err
	}
	if err != nil && !errors.Is(err, io.EOF) {
		b.err = err
	}
	return n, err
}
