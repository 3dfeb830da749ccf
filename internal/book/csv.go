package book

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"wattle/internal/fault"
)

// columns are the columns of a price list, by the names its first line must
// use, in any order. The first five are always needed.
//
//	item          the price-book item
//	effective     the first day the row holds: 2026-03-01
//	unit          what the price is for: each, lb, bag, ft3, hour
//	price         per unit, plain digits: 6.48
//	currency      ISO 4217: USD
//	description   for people
//	office        default: the office the list is imported for
//	supplier      default: none
//	pack          the least number of units sold; default 1
//	min_quantity  the order quantity from which the price holds; default 0
//	state         priced (the default), withdrawn or inherit
//
// Rows of the same item, office, supplier and effective date are the quantity
// breaks of one entry and agree in everything but min_quantity and price. A row
// that is withdrawn or inherits has no price and no min_quantity; its unit,
// pack and currency mean nothing and are not kept.
var columns = [...]column{
	{"item", true}, {"effective", true}, {"unit", true}, {"price", true}, {"currency", true},
	{"description", false}, {"office", false}, {"supplier", false}, {"pack", false}, {"min_quantity", false}, {"state", false},
}

type column struct {
	name     string
	required bool
}

// CSVOptions bound a file and fill what it leaves out. Zero fields take the
// default named.
type CSVOptions struct {
	Office        string // MainOffice
	MaxBytes      int64  // 64 MiB
	MaxRows       int    // 200,000
	MaxViolations int    // 100; what is wrong beyond that is counted, not listed
}

func (o CSVOptions) withDefaults() CSVOptions {
	o.Office = cmp.Or(o.Office, MainOffice)
	o.MaxBytes = cmp.Or(o.MaxBytes, 64<<20)
	o.MaxRows = cmp.Or(o.MaxRows, 200_000)
	o.MaxViolations = cmp.Or(o.MaxViolations, 100)
	return o
}

// ParseCSV reads a price list: UTF-8 without a byte-order mark, comma
// separated, quoted as RFC 4180 says, first line the column names. It returns
// the entries, ordered by item, office, supplier and effective date, and the
// number of rows they came from.
//
// Everything wrong is listed in one Invalid error, by the line of the file and
// the position of the column, both from 1: "line 12, column 5 (price)". A file
// over a limit is Exhausted (PRICE_LIST_TOO_LARGE). An error of r itself is
// returned as it is.
func ParseCSV(r io.Reader, opt CSVOptions) (entries []Entry, rows int, err error) {
	opt = opt.withDefaults()
	bounded := &boundedReader{r: r, left: opt.MaxBytes}
	p := &parser{opt: opt, groups: make(map[slot]*group), spoiled: make(map[slot]bool), problems: problems{limit: opt.MaxViolations}}
	in := bufio.NewReader(bounded)
	if p.encoding(in) {
		err = p.read(in)
	}
	switch {
	case bounded.err != nil:
		return nil, p.rows, bounded.err
	case err != nil:
		return nil, p.rows, err
	}
	entries = p.entries()
	if err := p.problems.err(); err != nil {
		return nil, p.rows, err
	}
	return entries, p.rows, nil
}

// parser reads rows into groups, one per entry.
type parser struct {
	opt      CSVOptions
	names    []string // of the columns present, in the file's order
	groups   map[slot]*group
	spoiled  map[slot]bool // a row of it is wrong, so what its rows lack is not known
	rows     int
	problems problems
}

// encoding looks at the first bytes and reports whether the rest can be read.
func (p *parser) encoding(in *bufio.Reader) bool {
	start, _ := in.Peek(3) // an error comes again at the first read
	switch {
	case bytes.HasPrefix(start, []byte("\xEF\xBB\xBF")):
		p.problems.add(1, 1, "line 1, column 1", "the file starts with a byte-order mark (EF BB BF): save it as UTF-8 without one")
		_, _ = in.Discard(3) // the bytes were just seen
	case bytes.HasPrefix(start, []byte("\xFF\xFE")), bytes.HasPrefix(start, []byte("\xFE\xFF")),
		len(start) > 1 && (start[0] == 0) != (start[1] == 0):
		p.problems.add(1, 1, "line 1, column 1", "the file is UTF-16: save it as UTF-8 without a byte-order mark")
		return false
	}
	return true
}

func (p *parser) read(in io.Reader) error {
	c := csv.NewReader(in)
	c.FieldsPerRecord = -1 // checked here, so that every ragged row is listed
	c.ReuseRecord = true
	for first := true; ; first = false {
		record, err := c.Read()
		var syntax *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			if first {
				p.problems.add(1, 1, "line 1", "the file is empty; the first line must name the columns: %s", allNames())
			} else if p.rows == 0 && p.problems.count == 0 {
				p.problems.add(2, 1, "line 2", "the file has no rows")
			}
			return nil
		case errors.As(err, &syntax):
			p.problems.add(syntax.StartLine, 0, fmt.Sprintf("line %d", syntax.StartLine), "%s", quoting(syntax))
			if first {
				return nil
			}
			continue
		case err != nil:
			return fmt.Errorf("read the price list: %w", err)
		}
		line, _ := c.FieldPos(0)
		if first {
			if !p.header(record, line) {
				return nil
			}
			continue
		}
		if p.rows++; p.rows > p.opt.MaxRows {
			return tooLarge("rows", int64(p.opt.MaxRows))
		}
		p.row(record, line)
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
func (p *parser) header(record []string, line int) bool {
	before := p.problems.count
	if len(record) == 1 && strings.ContainsAny(record[0], ";\t") {
		p.problems.add(line, 1, fmt.Sprintf("line %d", line), "the columns are not separated by commas; expected %s", allNames())
		return false
	}
	p.names = slices.Clone(record)
	for i, name := range p.names {
		at := fmt.Sprintf("line %d, column %d", line, i+1)
		switch {
		case !slices.ContainsFunc(columns[:], func(c column) bool { return c.name == name }):
			p.problems.add(line, i+1, at, "%.40q is not a column of a price list; expected %s", name, allNames())
		case slices.Index(p.names, name) < i:
			p.problems.add(line, i+1, at, "the column %q appears twice", name)
		}
	}
	for _, c := range columns {
		if c.required && !slices.Contains(p.names, c.name) {
			p.problems.add(line, len(p.names)+1, fmt.Sprintf("line %d", line), "the column %q is missing", c.name)
		}
	}
	return p.problems.count == before
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

func tooLarge(of string, limit int64) error {
	return fault.New(fault.Exhausted, "PRICE_LIST_TOO_LARGE", "the price list is too large: at most %d %s", limit, of)
}

// problem is a violation with its place, for sorting.
type problem struct {
	line, column int
	fault.Violation
}

// problems keeps the first ones up to a limit, and counts the rest.
type problems struct {
	limit, count int
	first        []problem
}

func (ps *problems) add(line, column int, field, format string, args ...any) {
	if ps.count++; ps.count <= ps.limit {
		ps.first = append(ps.first, problem{line, column, fault.Violation{Field: field, Description: fmt.Sprintf(format, args...)}})
	}
}

// err is nil, or one Invalid error with the problems in the order of the file.
func (ps *problems) err() error {
	if ps.count == 0 {
		return nil
	}
	slices.SortStableFunc(ps.first, func(a, b problem) int {
		return cmp.Or(cmp.Compare(a.line, b.line), cmp.Compare(a.column, b.column))
	})
	e := fault.New(fault.Invalid, "INVALID_PRICE_LIST", "the price list has %d thing(s) to put right", ps.count)
	for _, p := range ps.first {
		e.Violations = append(e.Violations, p.Violation)
	}
	if more := ps.count - len(ps.first); more > 0 {
		e.Violations = append(e.Violations, fault.Violation{Field: "file", Description: fmt.Sprintf("%d more, not listed", more)})
	}
	return e
}
