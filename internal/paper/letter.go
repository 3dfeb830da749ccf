package paper

import (
	"cmp"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/money"
	"wattle/internal/quote"
)

// mostMoved are how many parts of a fence a price letter names.
const mostMoved = 10

// priceLetter tells a customer what a quote comes to at other prices: what he
// was quoted, what it is now, and the parts that move most. It tells prices
// only, of which cost cannot be reckoned.
func (p *press) priceLetter(in Input) error {
	r, again := in.Request, in.Repricing
	if err := p.openWith(in.Template, "Change of price"); err != nil {
		return err
	}
	facts := []fact{{"Quote", in.Ref}, {"Your reference", r.ExternalRef}, {"Quoted at prices of", p.locale.date(again.Then.AsOf)}, {"Prices as of", p.locale.date(again.Now.AsOf)}}
	p.parties(in, append(facts, fact{"New last day", p.locale.date(in.NewLastDay)}))
	p.skip(16)
	currency := r.Currency
	var c money.Calc
	differs := c.Sub(again.Is.Total, again.Was.Total)
	was := p.locale.amount(again.Was.Total, currency) + " " + currency.String()
	is := p.locale.amount(again.Is.Total, currency) + " " + currency.String()
	by := p.locale.amount(differs.Abs(), currency) + " " + currency.String()
	p.in("quote.totals")
	words := "For " + in.job() + " we quoted " + was + ", tax included, at the prices of " + p.locale.date(again.Then.AsOf) + ". At the prices of " + p.locale.date(again.Now.AsOf)
	switch {
	case differs.IsZero():
		words += " the same job still comes to " + is + "."
	case differs.IsPos():
		words += " the same job comes to " + is + ": " + by + " more (" + p.locale.percent(differs, again.Was.Total) + ")."
	default:
		words += " the same job comes to " + is + ": " + by + " less (" + p.locale.percent(differs, again.Was.Total) + ")."
	}
	p.paragraph(words, 10.5, false, black)

	p.heading("What it was and what it is", 70)
	t := table{size: bodySize, field: "quote.totals", columns: []column{{head: currency.String()}, {head: "was", right: true, tight: true}, {head: "is", right: true, tight: true}, {head: "change", right: true, tight: true}, {head: "", right: true, tight: true}}}
	add := func(name string, was, is decimal.Decimal, bold bool) {
		d := c.Sub(is, was)
		t.rows = append(t.rows, row{cells: []string{name, p.locale.amount(was, currency), p.locale.amount(is, currency), p.locale.signed(d, currency), p.locale.percent(d, was)}, bold: bold, ruled: bold})
	}
	add("Price before tax", again.Was.Net, again.Is.Net, false)
	add("Tax", again.Was.Tax, again.Is.Tax, false)
	add("Total", again.Was.Total, again.Is.Total, true)
	p.table(t)
	p.moved(in, &c)

	p.heading("What this means", 40)
	p.in("head")
	if !in.NewLastDay.IsZero() {
		p.paragraph("The new price holds if you accept it on or before "+p.locale.date(in.NewLastDay)+". It is for the same fence on the same site.", bodySize, false, black)
		p.skip(4)
	}
	p.paragraph("A quote that you have accepted keeps its price. Please ask us about anything that is not clear.", bodySize, false, black)
	p.skip(10)
	p.need(40)
	p.in("template.title")
	p.rule(side, side+220, p.y+22, 0.6, black)
	p.print(side, p.y+34, p.shortened(in.Template.Title, 9, false, p.room()), 9, false, grey)
	p.y += 40
	return c.Err()
}

// moved is the parts of the fence whose price changes, the largest changes first,
// and all else together, so that the list adds up to the change before tax. It
// goes by parts, not by items: a part may be built from other stock now, and the
// customer buys the part.
func (p *press) moved(in Input, c *money.Calc) {
	again, currency := in.Repricing, in.Request.Currency
	type change struct {
		name      string
		was, more decimal.Decimal
	}
	var all []change
	part := func(lines ...quote.Line) *change {
		name := ""
		for _, l := range lines {
			name = cmp.Or(name, string(l.Category))
		}
		for _, l := range lines {
			name = cmp.Or(name, l.Description)
		}
		name = upperFirst(name)
		i := slices.IndexFunc(all, func(x change) bool { return x.name == name })
		if i < 0 {
			i = len(all)
			all = append(all, change{name: name})
		}
		return &all[i]
	}
	for _, l := range in.Quote.Lines {
		if l.Kind != quote.Discount {
			x := part(l)
			x.was = c.Add(x.was, l.Price)
		}
	}
	for _, l := range again.Lines {
		if l.A.Kind != quote.Discount && l.B.Kind != quote.Discount {
			x := part(l.A, l.B)
			x.more = c.Add(x.more, c.Sub(l.B.Price, l.A.Price))
		}
	}
	all = slices.DeleteFunc(all, func(x change) bool { return x.more.IsZero() })
	slices.SortStableFunc(all, func(a, b change) int { return b.more.CmpAbs(a.more) })
	if len(all) == 0 {
		return
	}
	p.heading("What moves it, before tax", 60)
	t := table{size: 9, field: "quote.lines", columns: []column{{head: "in the price"}, {head: "was", right: true, tight: true}, {head: "is", right: true, tight: true}, {head: "change", right: true, tight: true}, {head: "", right: true, tight: true}}}
	add := func(name string, was, is decimal.Decimal, bold bool) {
		more := c.Sub(is, was)
		t.rows = append(t.rows, row{cells: []string{name, p.locale.amount(was, currency), p.locale.amount(is, currency), p.locale.signed(more, currency), p.locale.percent(more, was)}, bold: bold, ruled: bold})
	}
	wasRest, isRest := again.Was.Net, again.Is.Net
	for _, x := range all[:min(len(all), mostMoved)] {
		is := c.Add(x.was, x.more)
		wasRest, isRest = c.Sub(wasRest, x.was), c.Sub(isRest, is)
		add(x.name, x.was, is, false)
	}
	if !wasRest.IsZero() || !isRest.IsZero() {
		add("Everything else", wasRest, isRest, false)
	}
	add("Price before tax", again.Was.Net, again.Is.Net, true)
	p.table(t)
}
