package book

import (
	"cmp"
	"fmt"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/money"
)

// fields reads one row and notes what is wrong under its line and columns.
type fields struct {
	list   *PriceList
	record []string
	line   int
	bad    bool
}

func (f *fields) problem(column int, format string, args ...any) {
	f.bad = true
	f.list.problems.add(f.line, f.list.at[column]+1, f.list.place(f.list, f.line, column), format, args...)
}

// raw is the named field, "" where the column is absent.
func (f *fields) raw(column int) string {
	if i := f.list.at[column]; i >= 0 {
		return f.record[i]
	}
	return ""
}

// text is the named field, held against its rule unless it may be empty and is.
func (f *fields) text(column int, rule func(string) string) string {
	s := f.raw(column)
	if s == "" && !columns[column].required {
		return ""
	}
	if p := rule(s); p != "" {
		f.problem(column, "%s", p)
	}
	return s
}

// number is the named field, or the default where it is empty.
func (f *fields) number(column int, def decimal.Decimal, rule func(decimal.Decimal) string) decimal.Decimal {
	s := f.raw(column)
	if s == "" {
		if columns[column].required {
			f.problem(column, "is empty; expected plain digits such as 6.48")
		}
		return def
	}
	d, err := money.ParseDecimal(s)
	if err != nil {
		f.problem(column, "%s", err)
		return def
	}
	if p := rule(d); p != "" {
		f.problem(column, "%s", p)
	}
	return d
}

// row reads one row; false where not even its place in the book is known.
func (l *PriceList) row(record []string, line int) (Row, bool) {
	f := &fields{list: l, record: record, line: line}
	e := Entry{
		Item:      f.text(colItem, nameProblem),
		Office:    cmp.Or(f.text(colOffice, nameProblem), l.opt.Office),
		Supplier:  f.text(colSupplier, nameProblem),
		Effective: f.date(),
	}
	placed := !f.bad
	e.Description = f.text(colDescription, descriptionProblem)
	e.State = State(cmp.Or(f.text(colState, stateProblem), string(Priced)))
	var b Break
	switch e.State {
	case Priced:
		e.Unit = f.text(colUnit, unitProblem)
		e.Pack = f.number(colPack, decimal.One, packProblem)
		b.MinQuantity = f.number(colMinQuantity, decimal.Zero, quantityProblem)
		b.Price = f.number(colPrice, decimal.Zero, l.priceProblem)
		e.Currency = money.Currency(f.text(colCurrency, currencyProblem))
	case Withdrawn, Inherit:
		for _, column := range []int{colPrice, colMinQuantity} {
			if f.raw(column) != "" {
				f.problem(column, "a row that is %s has no %s", e.State, columns[column].name)
			}
		}
	}
	return Row{Line: line, Entry: e, Break: b, Spoilt: f.bad}, placed
}

func (l *PriceList) priceProblem(d decimal.Decimal) string {
	return priceProblem(d, l.opt.AcceptZeroPrices)
}

func (f *fields) date() civil.Date {
	s := f.raw(colEffective)
	if s == "" {
		f.problem(colEffective, "is empty; expected a date such as 2026-03-01")
		return civil.Date{}
	}
	last := &f.list.day
	if s == last.text {
		return last.date
	}
	d, err := civil.Parse(s)
	if err != nil {
		f.problem(colEffective, "%s", err)
		return civil.Date{}
	}
	if p := dateProblem(d); p != "" {
		f.problem(colEffective, "%s", p)
		return d
	}
	last.text, last.date = s, d
	return d
}

func stateProblem(s string) string {
	switch State(s) {
	case Priced, Withdrawn, Inherit:
		return ""
	}
	return fmt.Sprintf("expected one of %s, found %.40q", stateNames, s)
}

func currencyProblem(s string) string {
	if s == "" {
		return "is empty; expected an ISO 4217 code such as USD"
	}
	if len(s) > 3 {
		return fmt.Sprintf("expected an ISO 4217 code such as USD, found %.40q", s)
	}
	if _, err := money.ParseCurrency(s); err != nil {
		return err.Error()
	}
	return ""
}
