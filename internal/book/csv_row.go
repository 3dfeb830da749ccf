package book

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/money"
)

// group is an entry and where its rows stand.
type group struct {
	entry Entry
	line  int // of its first row
	lines map[string]int
}

// fields reads one row and notes what is wrong under its line and columns.
type fields struct {
	parser *parser
	record []string
	line   int
	bad    bool
}

func (f *fields) problem(name, format string, args ...any) {
	f.bad = true
	i := slices.Index(f.parser.names, name)
	at := fmt.Sprintf("line %d, column %d (%s)", f.line, i+1, name)
	if i < 0 {
		at = fmt.Sprintf("line %d", f.line)
	}
	f.parser.problems.add(f.line, i+1, at, format, args...)
}

// text is the named field, "" where the column is absent.
func (f *fields) text(name string, rule func(string) string) string {
	i := slices.Index(f.parser.names, name)
	if i < 0 || f.record[i] == "" && !required(name) {
		return ""
	}
	s := f.record[i]
	if p := rule(s); p != "" {
		f.problem(name, "%s", p)
	}
	// A copy of its own: a part of the row would keep the whole row in memory.
	return string([]byte(s))
}

func required(name string) bool {
	return slices.Contains(columns[:], column{name, true})
}

// number is the named field, or the default where it is empty.
func (f *fields) number(name string, def decimal.Decimal, rule func(decimal.Decimal) string) decimal.Decimal {
	s := f.text(name, func(string) string { return "" })
	if s == "" {
		if required(name) {
			f.problem(name, "is empty; expected plain digits such as 6.48")
		}
		return def
	}
	d, err := money.ParseDecimal(s)
	if err != nil {
		f.problem(name, "%s", err)
		return def
	}
	if p := rule(d); p != "" {
		f.problem(name, "%s", p)
	}
	return d
}

// row adds one row to its group.
func (p *parser) row(record []string, line int) {
	f := &fields{parser: p, record: record, line: line}
	if len(record) != len(p.names) {
		p.problems.add(line, 0, fmt.Sprintf("line %d", line), "expected %d fields, found %d", len(p.names), len(record))
		return
	}
	e := Entry{
		Item:        f.text("item", nameProblem),
		Office:      cmp.Or(f.text("office", nameProblem), p.opt.Office),
		Supplier:    f.text("supplier", nameProblem),
		Description: f.text("description", descriptionProblem),
		Effective:   f.date(),
		State:       State(cmp.Or(f.text("state", stateProblem), string(Priced))),
	}
	var b Break
	switch e.State {
	case Priced:
		e.Unit = f.text("unit", unitProblem)
		e.Pack = f.number("pack", decimal.One, packProblem)
		b.MinQuantity = f.number("min_quantity", decimal.Zero, quantityProblem)
		b.Price = f.number("price", decimal.Zero, priceProblem)
		e.Currency = money.Currency(f.text("currency", currencyProblem))
	case Withdrawn, Inherit:
		for _, name := range []string{"price", "min_quantity"} {
			if s := f.text(name, func(string) string { return "" }); s != "" {
				f.problem(name, "a row that is %s has no %s", e.State, name)
			}
		}
	}
	if f.bad {
		p.spoiled[e.slot()] = true
		return
	}
	p.join(f, e, b)
}

func (f *fields) date() civil.Date {
	s := f.text("effective", func(string) string { return "" })
	if s == "" {
		f.problem("effective", "is empty; expected a date such as 2026-03-01")
		return civil.Date{}
	}
	d, err := civil.Parse(s)
	if err != nil {
		f.problem("effective", "%s", err)
		return civil.Date{}
	}
	if p := dateProblem(d); p != "" {
		f.problem("effective", "%s", p)
	}
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

// join adds a sound row to the entry it belongs to.
func (p *parser) join(f *fields, e Entry, b Break) {
	g, ok := p.groups[e.slot()]
	if !ok {
		g = &group{entry: e, line: f.line, lines: make(map[string]int)}
		p.groups[e.slot()] = g
	}
	if e.State != Priced || g.entry.State != Priced {
		if ok {
			f.problem("item", "the same item, office, supplier and effective date as line %d", g.line)
		}
		return
	}
	for _, c := range []struct {
		column string
		same   bool
	}{
		{"description", e.Description == g.entry.Description},
		{"unit", e.Unit == g.entry.Unit},
		{"pack", e.Pack.Equal(g.entry.Pack)},
		{"currency", e.Currency == g.entry.Currency},
	} {
		if !c.same {
			f.problem(c.column, "differs from line %d, which is the same item, office, supplier and effective date", g.line)
		}
	}
	quantity := plain(b.MinQuantity)
	if first, ok := g.lines[quantity]; ok {
		f.problem("item", "the same item, office, supplier, effective date and min_quantity as line %d", first)
		return
	}
	g.lines[quantity] = f.line
	g.entry.Breaks = append(g.entry.Breaks, b)
}

// entries are the finished groups, in order.
func (p *parser) entries() []Entry {
	groups := slices.SortedFunc(maps.Values(p.groups), func(a, b *group) int { return compareSlots(a.entry, b.entry) })
	entries := make([]Entry, len(groups))
	for i, g := range groups {
		e := g.entry.normal(p.opt.Office)
		slices.SortFunc(e.Breaks, func(a, b Break) int { return a.MinQuantity.Cmp(b.MinQuantity) })
		if e.State == Priced && !e.Breaks[0].MinQuantity.IsZero() && !p.spoiled[e.slot()] {
			p.problems.add(g.line, 0, fmt.Sprintf("line %d", g.line), "this item, office, supplier and effective date has no row with min_quantity 0, so a small order has no price")
		}
		if len(e.Breaks) > MaxBreaks {
			p.problems.add(g.line, 0, fmt.Sprintf("line %d", g.line), "expected at most %d rows for one item, office, supplier and effective date, found %d", MaxBreaks, len(e.Breaks))
		}
		entries[i] = e
	}
	return entries
}
