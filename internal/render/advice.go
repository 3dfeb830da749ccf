package render

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/quote"
)

// AdviceText is the cheapest choice and how to ask for it, the next one, the
// table of candidates, and why others were left out.
func AdviceText(w io.Writer, a quote.Advice) error {
	p := newPage(w)
	p.heading("Cheapest choice of bay width, method and rail stock")
	writeAdviceSummary(p, a)
	writeRefusals(p, a.Refusals)
	writeChecks(p, a.Best.Checks)
	writeCautions(p, a.Best.Cautions)
	return p.Flush()
}

// AdviceSummary is the choice and the table alone.
func AdviceSummary(w io.Writer, a quote.Advice) error {
	p := newPage(w)
	writeAdviceSummary(p, a)
	return p.Flush()
}

func writeAdviceSummary(p page, a quote.Advice) {
	digits := a.PricedAt.Currency.Digits()
	writePricedAt(p, a.PricedAt)
	p.line("")
	p.paragraph("", fmt.Sprintf("Best: %s, at a cost of %s and a price before tax of %s.",
		a.Best.Choice, amount(money.Fixed(a.Best.Totals.Cost, digits)), amount(money.Fixed(a.Best.Totals.Net, digits))))
	if a.RunnerUp != nil && a.ToRunnerUp != nil {
		p.paragraph("", fmt.Sprintf("Next: %s, %s in cost and %s before tax.",
			a.RunnerUp.Choice, change(money.Fixed(a.ToRunnerUp.Cost, digits)), change(money.Fixed(a.ToRunnerUp.Net, digits))))
	}
	if a.Given != nil && a.ToGiven != nil && !a.ToGiven.Cost.IsZero() {
		p.paragraph("", fmt.Sprintf("As given: %s, %s in cost and %s before tax.", a.Given.Choice,
			change(money.Fixed(a.ToGiven.Cost, digits)), change(money.Fixed(a.ToGiven.Net, digits))))
	}
	settings := []string{"layout.max_bay to " + a.Best.MaxBay.Imperial(), "layout.method to " + string(a.Best.Method)}
	if len(a.Best.Stock) > 0 {
		settings = append(settings, "rails.stock to "+lengthList(a.Best.Stock))
	}
	p.paragraph("", "To quote it, set "+list(settings)+".")
	p.line("")
	writeCandidates(p, a, digits)
	p.paragraph("", fmt.Sprintf("%s tried, %d refused. Cost is material, labour, equipment and others' work, before overhead.",
		counted(a.Tried, "candidate"), a.Refused))
}

func writeCandidates(p page, a quote.Advice, digits int) {
	t := newTable("rlllrrrrr", "", "bays to", "method", "rails", "posts", "crew-hours", "cost", "before tax", "total")
	for i, c := range a.Table {
		t.row(strconv.Itoa(i+1), c.MaxBay.Imperial(), string(c.Method), lengthList(c.Stock), strconv.Itoa(c.Posts),
			c.CrewHours.Trim(0).String(), amount(money.Fixed(c.Totals.Cost, digits)), amount(money.Fixed(c.Totals.Net, digits)), amount(money.Fixed(c.Totals.Total, digits)))
	}
	t.write(p)
}

func writeRefusals(p page, refusals []quote.Refusal) {
	if len(refusals) == 0 {
		return
	}
	p.line("")
	p.heading("Left out")
	for _, r := range refusals {
		p.paragraph("* ", fmt.Sprintf("%s: %s. The first, %s:", counted(r.Count, "candidate"), r.Reason, r.First))
		for _, v := range r.Violations {
			p.paragraph("    ", strings.TrimPrefix(v.Field+": "+v.Description, ": "))
		}
	}
}

// lengthList is such as: 8 ft, 12 ft and 16 ft.
func lengthList(lengths []measure.Length) string {
	texts := make([]string, len(lengths))
	for i, l := range lengths {
		texts[i] = l.Imperial()
	}
	return list(texts)
}
