package book

import (
	"cmp"
	"fmt"
	"io"
	"iter"
	"slices"

	"wattle/internal/civil"
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
	colItem: {"item", true}, colEffective: {"effective", true}, colUnit: {"unit", true}, colPrice: {"price", true}, colCurrency: {"currency", true},
	colDescription: {"description", false}, colOffice: {"office", false}, colSupplier: {"supplier", false},
	colPack: {"pack", false}, colMinQuantity: {"min_quantity", false}, colState: {"state", false},
}

type column struct {
	name     string
	required bool
}

const (
	colItem = iota
	colEffective
	colUnit
	colPrice
	colCurrency
	colDescription
	colOffice
	colSupplier
	colPack
	colMinQuantity
	colState

	noColumn = -1
)

// Record is one row as text, a field per column; an empty field takes its
// default.
type Record struct {
	Item, Effective, Unit, Price, Currency, Description, Office, Supplier, Pack, MinQuantity, State string
}

// CSVOptions bound a price list and fill what it leaves out. Zero fields take
// the default named.
type CSVOptions struct {
	Office        string // MainOffice
	MaxBytes      int64  // 512 MiB
	MaxRows       int    // 2,000,000
	MaxViolations int    // 100; what is wrong beyond that is counted, not listed
	// AcceptZeroPrices takes prices of 0, which are else refused, since they
	// usually mean "unknown".
	AcceptZeroPrices bool
}

// Bounded is o with every limit filled.
func (o CSVOptions) Bounded() CSVOptions {
	o.Office = cmp.Or(o.Office, MainOffice)
	o.MaxBytes = cmp.Or(o.MaxBytes, 512<<20)
	o.MaxRows = cmp.Or(o.MaxRows, 2_000_000)
	o.MaxViolations = cmp.Or(o.MaxViolations, 100)
	return o
}

// PriceList reads a price list one row at a time, and remembers what was wrong
// with it, up to a limit. It needs the same memory for a list of any length.
type PriceList struct {
	opt CSVOptions
	// read hands on every row, and an error that ends the list.
	read func(l *PriceList, yield func(Row, error) bool)
	// at is where each column stands in a record, or noColumn.
	at [len(columns)]int
	// place names a row, and a column of it unless that is noColumn.
	place    func(l *PriceList, line, column int) string
	rows     int
	problems problems
	// day is the last date that was read: most lists have one.
	day struct {
		text string
		date civil.Date
	}
}

func newList(opt CSVOptions) *PriceList {
	opt = opt.Bounded()
	return &PriceList{opt: opt, problems: problems{limit: opt.MaxViolations}}
}

// NewCSV reads a CSV file: UTF-8 without a byte-order mark, comma separated,
// quoted as RFC 4180 says, first line the column names. What is wrong is told
// by the line of the file and the position of the column, both from 1: "line
// 12, column 5 (price)".
func NewCSV(r io.Reader, opt CSVOptions) *PriceList {
	l := newList(opt)
	for i := range l.at {
		l.at[i] = noColumn
	}
	l.read = func(l *PriceList, yield func(Row, error) bool) { l.readCSV(r, yield) }
	l.place = func(l *PriceList, line, column int) string {
		if column == noColumn || l.at[column] == noColumn {
			return fmt.Sprintf("line %d", line)
		}
		return fmt.Sprintf("line %d, column %d (%s)", line, l.at[column]+1, columns[column].name)
	}
	return l
}

// NewRecords reads rows that are apart already. What is wrong is told by the
// row's position, from 0, and the column's name: "rows[11].price".
func NewRecords(records iter.Seq2[Record, error], opt CSVOptions) *PriceList {
	l := newList(opt)
	for i := range l.at {
		l.at[i] = i
	}
	l.read = func(l *PriceList, yield func(Row, error) bool) { l.readRecords(records, yield) }
	l.place = func(_ *PriceList, line, column int) string {
		if column == noColumn {
			return fmt.Sprintf("rows[%d]", line)
		}
		return fmt.Sprintf("rows[%d].%s", line, columns[column].name)
	}
	return l
}

// Rows reads the list, once. It yields the rows that can be used, and those
// that are Spoilt; what is wrong with the others Err tells in the end. A list
// over a limit ends with an error that is Exhausted (PRICE_LIST_TOO_LARGE); an
// error of the reader itself ends it as it is.
func (l *PriceList) Rows() iter.Seq2[Row, error] {
	return func(yield func(Row, error) bool) { l.read(l, yield) }
}

// Count is how many rows were read, the wrong ones among them.
func (l *PriceList) Count() int { return l.rows }

// Flawed reports whether something was wrong with the rows read.
func (l *PriceList) Flawed() bool { return l.problems.count > 0 }

// MaxViolations is how many things Err lists.
func (l *PriceList) MaxViolations() int { return l.opt.MaxViolations }

// Err is one Invalid error (INVALID_PRICE_LIST) with everything wrong, in the
// order of the list: with its rows, and between them. It is nil where nothing
// is.
func (l *PriceList) Err(between Clashes) error {
	all := l.problems
	all.first = slices.Clone(all.first)
	for _, c := range between.First {
		column, at := c.Kind.column(), 0
		if column != noColumn {
			at = l.at[column] + 1
		}
		all.first = append(all.first, problem{c.Line, at, fault.Violation{
			Field: l.place(l, c.Line, column), Description: c.words(l.place(l, c.Other, noColumn)),
		}})
	}
	all.count += between.Count
	return all.err()
}

func (l *PriceList) readRecords(records iter.Seq2[Record, error], yield func(Row, error) bool) {
	fields := make([]string, len(columns))
	for r, err := range records {
		if err != nil {
			yield(Row{}, err)
			return
		}
		if l.rows++; l.rows > l.opt.MaxRows {
			yield(Row{}, tooLarge("rows", int64(l.opt.MaxRows)))
			return
		}
		fields[colItem], fields[colEffective], fields[colUnit] = r.Item, r.Effective, r.Unit
		fields[colPrice], fields[colCurrency], fields[colDescription] = r.Price, r.Currency, r.Description
		fields[colOffice], fields[colSupplier], fields[colPack] = r.Office, r.Supplier, r.Pack
		fields[colMinQuantity], fields[colState] = r.MinQuantity, r.State
		if row, ok := l.row(fields, l.rows-1); ok && !yield(row, nil) {
			return
		}
	}
	if l.rows == 0 {
		l.problems.add(0, 0, "rows", "the list has no rows")
	}
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

// err is nil, or one Invalid error with the problems in the order of the list.
func (ps *problems) err() error {
	if ps.count == 0 {
		return nil
	}
	slices.SortStableFunc(ps.first, func(a, b problem) int {
		return cmp.Or(cmp.Compare(a.line, b.line), cmp.Compare(a.column, b.column))
	})
	e := fault.New(fault.Invalid, "INVALID_PRICE_LIST", "the price list has %d thing(s) to put right", ps.count)
	for _, p := range ps.first[:min(len(ps.first), ps.limit)] {
		e.Violations = append(e.Violations, p.Violation)
	}
	if more := ps.count - len(e.Violations); more > 0 {
		e.Violations = append(e.Violations, fault.Violation{Field: "file", Description: fmt.Sprintf("%d more, not listed", more)})
	}
	return e
}

func tooLarge(of string, limit int64) error {
	return fault.New(fault.Exhausted, "PRICE_LIST_TOO_LARGE", "the price list is too large: at most %d %s", limit, of)
}
