package render

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"wattle/internal/check"
	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/takeoff"
)

// OptionsText shows options side by side: figures with what each differs by,
// quantities item by item, why some cannot be built, and the cautions with the
// options they are about.
func OptionsText(w io.Writer, o quote.Options) error {
	p := newPage(w)
	p.heading("Options side by side")
	writeOptionSummary(p, o)
	writeQuantities(p, o.All)
	writeOptionErrors(p, o.All)
	writeOptionChecks(p, o.All)
	writeOptionCautions(p, o.All)
	return p.Flush()
}

// OptionsSummary is the figures alone.
func OptionsSummary(w io.Writer, o quote.Options) error {
	p := newPage(w)
	writeOptionSummary(p, o)
	return p.Flush()
}

func writeOptionSummary(p page, o quote.Options) {
	writePricedAt(p, o.PricedAt)
	p.line("")
	writeOptionFigures(p, o)
	if o.Cheapest >= 0 && o.Cheapest < len(o.All) {
		p.paragraph("", fmt.Sprintf("Cheapest: %d, %s.", o.Cheapest+1, o.All[o.Cheapest].Name))
	}
}

func writePricedAt(p page, at quote.PricedAt) {
	p.line("Prices as of %s, price book revision %d, amounts in %s", at.AsOf, at.Head.Revision, plain(at.Currency.String()))
}

func writeOptionFigures(p page, o quote.Options) {
	digits := o.PricedAt.Currency.Digits()
	t := newTable("llrrrrrrrrr", "", "option", "cost", "before tax", "total", "to first", "to cheapest", "per foot net", "with gates", "crew-hours", "posts")
	for i, option := range o.All {
		n := strconv.Itoa(i + 1)
		if option.Err != nil {
			t.row(n, option.Name, "-", "-", "-", "-", "-", "-", "-", "-", "-")
			continue
		}
		sums := option.Totals
		t.row(n, option.Name,
			amount(money.Fixed(sums.Cost, digits)), amount(money.Fixed(sums.Net, digits)), amount(money.Fixed(sums.Total, digits)),
			totalChange(option.ToFirst, digits), totalChange(option.ToCheapest, digits),
			money.Fixed(option.PerFoot.PriceNet, 4), money.Fixed(option.PerFoot.PriceWithGates, 4),
			option.CrewHours.Trim(0).String(), strconv.Itoa(option.Posts))
	}
	t.write(p)
	p.paragraph("", "Differences are of the total; prices per foot are before tax.")
}

// totalChange is "-" where there is nothing to differ from.
func totalChange(d *quote.Difference, digits int) string {
	if d == nil {
		return "-"
	}
	return change(money.Fixed(d.Total, digits))
}

// writeQuantities has a row for every item of any option, in the order of the
// take-off, and a column for every option that stands.
func writeQuantities(p page, all []quote.Option) {
	var rows []takeoff.Line
	heads, columns := []string{"", "unit"}, "ll"
	for i, o := range all {
		if o.Err != nil {
			continue
		}
		heads, columns = append(heads, strconv.Itoa(i+1)), columns+"r"
		for _, l := range o.Lines {
			if !slices.ContainsFunc(rows, func(r takeoff.Line) bool { return r.Item == l.Item }) {
				rows = append(rows, l)
			}
		}
	}
	if len(rows) == 0 {
		return
	}
	order := takeoff.Categories()
	slices.SortStableFunc(rows, func(a, b takeoff.Line) int {
		return slices.Index(order, a.Category) - slices.Index(order, b.Category)
	})
	p.line("")
	p.heading("Quantities")
	t := newTable(columns, heads...)
	for _, r := range rows {
		cells := []string{r.Description, string(r.OrderedIn())}
		for _, o := range all {
			if o.Err == nil {
				cells = append(cells, ordered(o.Lines, r.Item))
			}
		}
		t.row(cells...)
	}
	t.write(p)
}

// ordered is what an option orders of an item, "-" for none.
func ordered(lines []takeoff.Line, item string) string {
	i := slices.IndexFunc(lines, func(l takeoff.Line) bool { return l.Item == item })
	if i < 0 {
		return "-"
	}
	return lines[i].Order.Trim(0).String()
}

func writeOptionErrors(p page, all []quote.Option) {
	headed := false
	for i, o := range all {
		if o.Err == nil {
			continue
		}
		if !headed {
			p.line("")
			p.heading("Not priced")
			headed = true
		}
		p.paragraph(strconv.Itoa(i+1)+"  ", o.Name+": "+o.Err.Message)
		for _, v := range o.Err.Violations {
			p.paragraph("   * ", strings.TrimPrefix(v.Field+": "+v.Description, ": "))
		}
	}
}

// writeOptionCautions tells each caution once, with the options it is about.
func writeOptionCautions(p page, all []quote.Option) {
	told := &shared{}
	for i, o := range all {
		for _, c := range o.Cautions {
			told.add(i, c.Text)
		}
	}
	told.write(p, "Cautions", all)
}

// writeOptionChecks tells alike which checks fail or lack data. The others are
// left to each option's quote.
func writeOptionChecks(p page, all []quote.Option) {
	told := &shared{}
	for _, outcome := range []check.Outcome{check.Fail, check.NotEnoughData} {
		for i, o := range all {
			for _, r := range o.Checks {
				if r.Outcome == outcome {
					told.add(i, strings.ToUpper(strings.ReplaceAll(string(outcome), "-", " "))+"  "+r.Title+". "+r.Text)
				}
			}
		}
	}
	told.write(p, "Checks that fail or lack data, all of them advisory", all)
}
