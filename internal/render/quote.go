package render

import (
	"encoding/hex"
	"fmt"
	"io"
	"strings"

	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/takeoff"
)

// QuoteHeader is what a stored quote is known by.
type QuoteHeader struct {
	ID string
	// CreatedAt is when it was made, in words: the caller's zone and form.
	CreatedAt   string
	Fingerprint [32]byte
}

// QuoteText is the quote on paper: who, what, the lines by category, the totals,
// figures per foot, and the cautions.
func QuoteText(w io.Writer, h QuoteHeader, r quote.Request, q *quote.Quote) error {
	p := newPage(w)
	p.heading("Quote " + plain(h.ID))
	head := newTable("ll")
	optional := func(name, value string) {
		if value != "" {
			head.row(name, value)
		}
	}
	head.row("Company", r.Company)
	optional("Customer", r.Customer)
	optional("Your reference", r.ExternalRef)
	optional("Made", h.CreatedAt)
	optional("Prices as of", r.AsOf.String())
	optional("Valid until", r.ValidUntil.String())
	head.row("Price book", fmt.Sprintf("revision %d", r.Head.Revision))
	head.row("Rules", fmt.Sprintf("version %d", r.RulesVersion))
	head.row("Fingerprint", hex.EncodeToString(h.Fingerprint[:]))
	head.row("Currency", r.Currency.String())
	head.write(p)

	p.line("")
	p.heading("Scope")
	p.paragraph("", scope(r, q, ImperialMeasures))
	p.line("")
	writeLines(p, r.Currency, q.Lines)
	p.line("")
	writeTotals(p, r, q.Totals)
	p.line("")
	writePerFoot(p, r.Currency, q.PerFoot)
	writeChecks(p, q.Checks)
	writeCautions(p, q.Cautions)
	return p.Flush()
}

// group is the heading a line stands under: its category or, of a custom line,
// its kind.
func group(l quote.Line) string {
	switch {
	case l.Category == takeoff.GateParts:
		return "GATE HARDWARE"
	case l.Category != "":
		return strings.ToUpper(string(l.Category))
	case l.Kind == quote.Fee:
		return "FEES"
	case l.Kind == quote.Material, l.Kind == quote.LabourKind:
		return "OTHER " + strings.ToUpper(string(l.Kind)) // beside what the take-off counted
	default:
		return strings.ToUpper(string(l.Kind))
	}
}

// writeLines shows every line at cost, exactly: an amount has as many decimals
// as it needs, so that the totals can be checked.
func writeLines(p page, currency money.Currency, lines []quote.Line) {
	p.heading("Lines")
	t := newTable("lrlrr", "", "quantity", "unit", "unit price", "amount")
	var under string
	// A kind's lines stand together even where the request mixed them.
	for _, l := range grouped(lines) {
		if g := group(l); g != under {
			under = g
			t.row(g)
		}
		cost := l.Cost
		if l.Kind == quote.Discount {
			cost = cost.Neg()
		}
		digits := currency.Digits()
		t.row("  "+l.Description, l.Quantity.Trim(0).String(), string(l.Unit),
			amount(money.Fixed(l.UnitPrice, max(digits, l.UnitPrice.Trim(0).Scale()))),
			amount(money.Fixed(cost, max(digits, cost.Trim(0).Scale()))))
	}
	pointColumn(t, 3)
	pointColumn(t, 4)
	t.write(p)
}

// grouped is lines with each group together, in order of its first line.
func grouped(lines []quote.Line) []quote.Line {
	var order []string
	byGroup := map[string][]quote.Line{}
	for _, l := range lines {
		g := group(l)
		if len(byGroup[g]) == 0 {
			order = append(order, g)
		}
		byGroup[g] = append(byGroup[g], l)
	}
	all := make([]quote.Line, 0, len(lines))
	for _, g := range order {
		all = append(all, byGroup[g]...)
	}
	return all
}

// pointColumn pads the figures of a column that is set flush right, so that
// decimal points stand below each other. The first row is the heading.
func pointColumn(t *table, column int) {
	decimals := func(s string) int {
		if at := strings.LastIndexByte(s, '.'); at >= 0 {
			return len(s) - at
		}
		return 0
	}
	most := 0
	for _, r := range t.rows[1:] {
		most = max(most, decimals(r[column]))
	}
	for _, r := range t.rows[1:] {
		if r[column] != "" {
			r[column] += strings.Repeat(" ", most-decimals(r[column]))
		}
	}
}

func writeTotals(p page, r quote.Request, t quote.Totals) {
	p.heading("Totals")
	rows := newTable("llr")
	value := func(sign, name, figure string) { rows.row(sign, name, amount(figure)) }
	// used leaves out what the job does not have.
	used := func(sign, name, figure string) {
		if !isZero(figure) {
			value(sign, name, figure)
		}
	}
	digits := r.Currency.Digits()
	value("", "Material", money.Fixed(t.Material, digits))
	value("+", "Labour", money.Fixed(t.Labour, digits))
	used("+", "Equipment", money.Fixed(t.Equipment, digits))
	used("+", "Subcontract", money.Fixed(t.Subcontract, digits))
	value("=", "Cost", money.Fixed(t.Cost, digits))
	value("+", "Overhead, "+r.Pricing.OverheadPercent.String()+" % of cost", money.Fixed(t.Overhead, digits))
	value("+", profitName(r.Pricing), money.Fixed(t.Profit, digits))
	used("+", "Fees, passed on at cost", money.Fixed(t.Fees, digits))
	used("-", "Discount", money.Fixed(t.Discount, digits))
	value("=", "Price before tax", money.Fixed(t.Net, digits))
	value("+", "Tax, "+r.Pricing.Tax.Percent.String()+" % of "+amount(money.Fixed(t.Taxable, digits))+" taxable", money.Fixed(t.Tax, digits))
	value("=", "Total, "+r.Currency.String(), money.Fixed(t.Total, digits))
	rows.write(p)
	p.paragraph("", "Amounts of lines are exact; each total is rounded once, after summing. Tax is rounded "+
		string(r.Pricing.Tax.Rounding)+", "+taxedPer(r.Pricing.Tax)+".")
}

func profitName(p quote.Pricing) string {
	if p.Profit == quote.Margin {
		return "Profit, a margin of " + p.ProfitPercent.String() + " % of price"
	}
	return "Profit, a markup of " + p.ProfitPercent.String() + " % on cost and overhead"
}

func taxedPer(t quote.Tax) string {
	per := "once for the whole quote"
	if t.PerLine {
		per = "line by line"
	}
	if t.Basis == quote.OnMaterialCost {
		return per + ", on the cost of material"
	}
	return per + ", on price"
}

func writePerFoot(p page, currency money.Currency, f quote.PerFoot) {
	p.heading("Per foot, " + currency.String())
	t := newTable("lrrr", "", "feet", "material", "price before tax")
	t.row("net fence, gate openings out", money.Fixed(f.NetFeet, 4), money.Fixed(f.MaterialNet, 4), money.Fixed(f.PriceNet, 4))
	with, err := f.NetFeet.Add(f.GateFeet)
	total := money.Fixed(with, 4)
	if err != nil { // 19 digits do not hold the sum
		total = ""
	}
	t.row("fence with gate openings in", total, money.Fixed(f.MaterialWithGates, 4), money.Fixed(f.PriceWithGates, 4))
	t.write(p)
}

// amount is a plain decimal with commas at the thousands: "12,345.60".
func amount(s string) string {
	sign := ""
	if rest, negative := strings.CutPrefix(s, "-"); negative {
		sign, s = "-", rest
	}
	whole, decimals, fraction := strings.Cut(s, ".")
	for at := len(whole) - 3; at > 0; at -= 3 {
		whole = whole[:at] + "," + whole[at:]
	}
	if fraction {
		whole += "." + decimals
	}
	return sign + whole
}
