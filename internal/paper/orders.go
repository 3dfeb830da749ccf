package paper

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/govalues/decimal"

	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/render"
	"wattle/internal/takeoff"
)

// orderList is what is bought of whom. It tells our cost, and is for us.
func (p *press) orderList(in Input) error {
	if err := p.openWith(in.Template, "Order list"); err != nil {
		return err
	}
	p.parties(in, p.facts(in))
	p.skip(8)
	p.in("head")
	p.paragraph("For our own use: it shows what we pay. Prices are of the quote, before tax, and each supplier confirms them.", 8.5, true, black)
	var c money.Calc
	currency := in.Request.Currency
	whole := decimal.Zero
	job := in.Request.Job(in.Quote.Layout).Gather()
	for _, group := range bySupplier(in.Quote.Lines) {
		p.in("quote.lines")
		p.heading(group.name, 60)
		t := table{size: 8.5, field: "quote.lines", columns: []column{
			{head: "item"}, {head: "description"}, {head: "order", right: true, tight: true}, {head: "unit", tight: true}, {head: "packs", tight: true},
			{head: "unit price", right: true, tight: true}, {head: "sum, " + currency.String(), right: true, tight: true},
		}}
		sum := decimal.Zero
		for _, l := range group.lines {
			sum = c.Add(sum, l.Cost)
			t.rows = append(t.rows, row{cells: []string{l.Item, l.Description, p.locale.number(l.Quantity.Trim(0).String()), string(l.Unit),
				p.packs(in.Quote.Takeoff, l), p.locale.unitPrice(l.UnitPrice, currency), p.locale.unitPrice(l.Cost, currency)}})
		}
		whole = c.Add(whole, sum)
		t.rows = append(t.rows, row{cells: []string{"Together", "", "", "", "", "", p.locale.unitPrice(sum, currency)}, bold: true, ruled: true})
		p.table(t)
		weight, err := job.Weigh(ordered(in.Quote.Takeoff, group.lines))
		if err != nil {
			return err
		}
		p.skip(3)
		p.paragraph(render.Delivery("This order", weight, in.Template.Measures, p.locale.number), 8.5, false, black)
	}
	p.skip(8)
	p.in("quote.takeoff")
	p.paragraph("All orders together "+p.locale.unitPrice(whole, currency)+" "+currency.String()+".", bodySize, true, black)
	p.skip(3)
	p.paragraph(render.Delivery("The whole order", in.Quote.Takeoff.Delivery, in.Template.Measures, p.locale.number), bodySize, false, black)
	return c.Err()
}

// supplied are the lines that one supplier is sent.
type supplied struct {
	name  string
	lines []quote.Line
}

// bySupplier are the lines that are bought, by supplier in the order of their
// names; those whose price names none come last. Work is not bought.
func bySupplier(lines []quote.Line) []supplied {
	const none = "No supplier named"
	var all []supplied
	for _, l := range lines {
		if l.Item == "" || l.Category == takeoff.Labour || l.Supplier == "" && l.Kind != quote.Material {
			continue
		}
		name := cmp.Or(l.Supplier, none)
		i := slices.IndexFunc(all, func(s supplied) bool { return s.name == name })
		if i < 0 {
			i = len(all)
			all = append(all, supplied{name: name})
		}
		all[i].lines = append(all[i].lines, l)
	}
	slices.SortStableFunc(all, func(a, b supplied) int {
		if (a.name == none) != (b.name == none) {
			if a.name == none {
				return 1
			}
			return -1
		}
		return strings.Compare(a.name, b.name)
	})
	return all
}

// ordered are the lines of a take-off that priced ones were made of.
func ordered(t *takeoff.Takeoff, lines []quote.Line) []takeoff.Line {
	return slices.DeleteFunc(slices.Clone(t.Lines), func(l takeoff.Line) bool {
		return !slices.ContainsFunc(lines, func(m quote.Line) bool { return m.Item == l.Item })
	})
}

// packs are how many packs a line is, and of how many; empty where it is sold
// by the piece.
func (p *press) packs(t *takeoff.Takeoff, l quote.Line) string {
	i := slices.IndexFunc(t.Lines, func(x takeoff.Line) bool { return x.Item == l.Item })
	if i < 0 {
		return ""
	}
	pack := t.Lines[i].Pack
	if pack.Trim(0).Cmp(decimal.One) == 0 || !pack.IsPos() {
		return ""
	}
	n := money.Rat(l.Quantity)
	n.Quo(n, money.Rat(pack))
	if !n.IsInt() {
		return "of " + p.locale.number(pack.Trim(0).String())
	}
	count := "packs"
	if n.Num().IsInt64() && n.Num().Int64() == 1 {
		count = "pack"
	}
	return p.locale.number(n.Num().String()) + " " + count + " of " + p.locale.number(pack.Trim(0).String())
}

func upperFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
