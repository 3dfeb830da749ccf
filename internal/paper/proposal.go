package paper

import (
	"slices"
	"strconv"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/render"
)

// proposal is what the customer is offered. It tells prices, and nothing of what
// the job costs us.
func (p *press) proposal(in Input) error {
	t, r, q := in.Template, in.Request, in.Quote
	plan, err := render.PlanSheets(r.Site, q.Layout, render.PlanOptions{Title: in.job(), Paper: t.Paper, Spec: r.Spec, Measures: t.Measures})
	if err != nil {
		return err
	}
	kind := "Proposal"
	if in.Draft {
		kind = "Proposal (draft, not an offer yet)"
	}
	if err := p.openWith(t, kind); err != nil {
		return err
	}
	p.parties(in, append(p.facts(in), fact{"Valid until", p.locale.date(r.ValidUntil)}))

	p.heading("Scope of work", 30)
	p.in("quote.spec")
	p.paragraph(render.Scope(r, q, t.Measures), bodySize, false, black)
	first := p.total - len(plan) + 1
	where := "The plan is drawn to scale on the last " + pagesWord(len(plan)) + "."
	if p.total > 0 {
		where = "The plan is drawn to scale on page " + strconv.Itoa(first) + "."
	}
	p.skip(3)
	p.paragraph(where, bodySize, false, grey)

	p.options(in)
	p.price(in)
	p.cautionList(customerCautions(q.Cautions))
	p.heading("Terms", 30)
	p.in("template.terms")
	for _, term := range t.Terms {
		p.paragraph(term, 9, false, black)
		p.skip(3)
	}
	p.signatures(in)
	for _, s := range plan {
		p.sheet(s, true)
	}
	return nil
}

func pagesWord(n int) string {
	if n == 1 {
		return "page"
	}
	return strconv.Itoa(n) + " pages"
}

// price is what the customer pays. How the tax was reckoned is told where it is
// of the price: of the cost of material it would tell that cost.
func (p *press) price(in Input) {
	r, sums := in.Request, in.Quote.Totals
	p.heading("Price", 70)
	var c money.Calc
	work := c.Sub(c.Add(sums.Net, sums.Discount), sums.Fees)
	t := table{size: bodySize, field: "quote.totals", columns: []column{{head: ""}, {head: r.Currency.String(), right: true, tight: true}}}
	add := func(name string, d decimal.Decimal, bold bool) {
		t.rows = append(t.rows, row{cells: []string{name, p.locale.amount(d, r.Currency)}, bold: bold, ruled: bold})
	}
	if c.Err() == nil && (!sums.Fees.IsZero() || !sums.Discount.IsZero()) {
		add("Fence as described, material and work", work, false)
		if !sums.Fees.IsZero() {
			add("Permits and fees", sums.Fees, false)
		}
		if !sums.Discount.IsZero() {
			add("Discount", sums.Discount.Neg(), false)
		}
	}
	add("Price before tax", sums.Net, false)
	tax := "Tax"
	if r.Pricing.Tax.Basis == quote.OnPrice && r.Pricing.Tax.Percent.IsPos() {
		tax += ", " + p.locale.number(r.Pricing.Tax.Percent.Trim(0).String()) + " % of " + p.locale.amount(sums.Taxable, r.Currency) + " taxable"
	}
	add(tax, sums.Tax, false)
	add("Total, "+r.Currency.String(), sums.Total, true)
	p.table(t)
	p.in("quote.valid_until")
	if !r.ValidUntil.IsZero() {
		p.skip(3)
		p.paragraph("This price holds if the proposal is accepted on or before "+p.locale.date(r.ValidUntil)+".", bodySize, false, black)
	}
}

// options are the ways to build that are offered side by side, four in a table.
func (p *press) options(in Input) {
	if len(in.Options) < 2 {
		return
	}
	p.heading("Options side by side", 110)
	p.in("quote.option_group")
	p.paragraph("One of these can be accepted. This proposal is for the one marked.", bodySize, false, black)
	p.skip(4)
	var this Option
	for _, o := range in.Options {
		if o.This {
			this = o
		}
	}
	currency := in.Request.Currency
	n := 0
	for some := range slices.Chunk(in.Options, 4) {
		t := table{size: 8.5, field: "quote.option_group", columns: []column{{head: "", tight: true}}}
		lines := [][]string{{"Quote"}, {"Fence"}, {"Valid until"}, {"Before tax"}, {"Tax"}, {"Total, " + currency.String()}, {"To this one"}}
		for _, o := range some {
			n++
			head := strconv.Itoa(n) + ". " + o.Name
			if o.This {
				head += " (this proposal)"
			}
			t.columns = append(t.columns, column{head: head})
			var c money.Calc
			differs := p.locale.signed(c.Sub(o.Total, this.Total), currency)
			if o.This || c.Err() != nil {
				differs = "-"
			}
			until := p.locale.date(o.ValidUntil)
			if !o.Acceptable {
				until += " (closed)"
			}
			for i, cell := range []string{o.Ref, o.Fence, until, p.locale.amount(o.Net, currency), p.locale.amount(o.Tax, currency), p.locale.amount(o.Total, currency), differs} {
				lines[i] = append(lines[i], cell)
			}
		}
		for i, cells := range lines {
			t.rows = append(t.rows, row{cells: cells, bold: i == 5})
		}
		p.table(t)
		p.skip(6)
	}
}

// customerCautions leave out what is between us and our suppliers.
func customerCautions(all []layout.Caution) []layout.Caution {
	return slices.DeleteFunc(slices.Clone(all), func(c layout.Caution) bool { return strings.HasPrefix(c.Code, "prices-") })
}

// cautionList is what somebody should look at before digging and building.
func (p *press) cautionList(all []layout.Caution) {
	p.heading("Please note", 40)
	p.in("quote.cautions")
	p.paragraph(render.DiggingCaution, 9, true, black)
	p.skip(2)
	for _, c := range all {
		p.indented("\u2022", c.Text, 8.5, false, black)
		p.skip(1.5)
	}
}

// signatures are the lines to sign on, together on one page.
func (p *press) signatures(in Input) {
	p.heading("Signatures", 120)
	p.in("head")
	half := p.room()/2 - 12
	top := p.y + 6
	left := in.Customer.Name
	if left == "" {
		left = in.Request.Customer
	}
	for i, s := range []struct{ field, who, name string }{{"customer.display_name", "Accepted by the customer", left}, {"template.title", "For the company", in.Template.Title}} {
		x := side + float64(i)*(half+24)
		y := top + 10
		p.in("head")
		p.print(x, y, s.who, 8.5, true, grey)
		p.in(s.field)
		p.print(x, y+13, p.shortened(s.name, 9.5, false, half), 9.5, false, black)
		p.in("head")
		for j, name := range []string{"Signature", "Name", "Date"} {
			at := y + 48 + float64(j)*26
			p.rule(x, x+half, at, 0.6, black)
			p.print(x, at+8.5, name, 7, false, grey)
		}
	}
	p.y = top + 125
	p.in("head")
	p.print(side, p.y+4, "Fingerprint of the quote: "+in.fingerprint(), 6.5, false, grey)
	p.y += 10
}
