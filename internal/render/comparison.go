package render

import (
	"io"
	"slices"
	"strings"

	"wattle/internal/money"
	"wattle/internal/quote"
)

// ComparisonText shows how quote B differs from quote A: the lines that
// changed, the largest first, with what is due to price and what to quantity, and
// where pieces are cut from other sticks what is due to those.
func ComparisonText(w io.Writer, c quote.Comparison, currency money.Currency, labelA, labelB string) error {
	p := newPage(w)
	p.heading(plain("From " + labelA + " to " + labelB))
	if len(c.Lines) == 0 {
		p.line("No line differs.")
	} else {
		columns, heads := "lrrrrr", []string{currency.String(), "quantity", "then", "unit price", "then", "by price"}
		other := slices.ContainsFunc(c.Lines, func(l quote.LineChange) bool { return !l.By.Substitution.IsZero() })
		if other {
			columns, heads = columns+"r", append(heads, "by stock")
		}
		digits := currency.Digits()
		t := newTable(columns+"rr", append(heads, "by quantity", "change")...)
		for _, l := range c.Lines {
			name := l.Description
			if name == "" {
				name = l.Item
			}
			cells := []string{name, quantity(l.A), quantity(l.B), unitPrice(l.A, currency), unitPrice(l.B, currency), change(money.Fixed(l.By.Price, digits))}
			if other {
				cells = append(cells, change(money.Fixed(l.By.Substitution, digits)))
			}
			t.row(append(cells, change(money.Fixed(l.By.Quantity, digits)), change(money.Fixed(l.Cost, digits)))...)
		}
		t.write(p)
	}
	p.line("")
	t := newTable("lr")
	t.row("Cost", change(money.Fixed(c.Cost, currency.Digits())))
	t.row("Price before tax", change(money.Fixed(c.Net, currency.Digits())))
	t.row("Total", change(money.Fixed(c.Total, currency.Digits())))
	t.write(p)
	return p.Flush()
}

// absent reports whether the quote has no such line.
func absent(l quote.Line) bool { return l.Item == "" && l.Description == "" }

func quantity(l quote.Line) string {
	if absent(l) {
		return "-"
	}
	return l.Quantity.Trim(0).String() + " " + string(l.Unit)
}

func unitPrice(l quote.Line, currency money.Currency) string {
	if absent(l) {
		return "-"
	}
	return amount(money.Fixed(l.UnitPrice, max(currency.Digits(), l.UnitPrice.Trim(0).Scale())))
}

// change is a figure with its sign: "+12.00", "-3.50", "0.00".
func change(s string) string {
	switch {
	case isZero(s):
		return strings.TrimPrefix(s, "-")
	case s[0] == '-':
		return amount(s)
	default:
		return "+" + amount(s)
	}
}

// isZero reports whether a plain decimal has no digit but zeros.
func isZero(s string) bool {
	for _, c := range s {
		if c >= '1' && c <= '9' {
			return false
		}
	}
	return true
}
