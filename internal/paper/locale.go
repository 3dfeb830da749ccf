package paper

import (
	"fmt"
	"strings"

	"github.com/govalues/decimal"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"wattle/internal/civil"
	"wattle/internal/money"
)

// locale writes numbers and dates. Of a locale are taken: from CLDR (through
// x/text) the digits, the decimal sign and how digits are grouped; from the
// table in date the order of a date. Amounts have their ISO 4217 code behind
// them, or at the head of their column: that is read alike everywhere. Month
// names, like all words, are English.
type locale struct {
	tag     language.Tag
	printer *message.Printer
	point   string
	digits  [10]string
}

func newLocale(name string) (locale, error) {
	tag, err := language.Parse(name)
	if err != nil {
		return locale{}, err
	}
	l := locale{tag: tag, printer: message.NewPrinter(tag)}
	for i := range l.digits {
		l.digits[i] = l.printer.Sprint(number.Decimal(i))
	}
	l.point = strings.TrimSuffix(strings.TrimPrefix(l.printer.Sprint(number.Decimal(1.5, number.Scale(1))), l.digits[1]), l.digits[5])
	return l, nil
}

// number writes a plain decimal ("-12345.60") exactly: x/text formats floats
// only, so it is asked how it groups so many digits, and ours are put in.
func (l locale) number(plain string) string {
	rest, negative := strings.CutPrefix(plain, "-")
	whole, fraction, _ := strings.Cut(rest, ".")
	var b strings.Builder
	if negative {
		b.WriteString("-")
	}
	b.WriteString(l.grouped(whole))
	if fraction != "" {
		b.WriteString(l.point)
		for _, d := range fraction {
			b.WriteString(l.digit(d))
		}
	}
	return b.String()
}

func (l locale) digit(d rune) string {
	if d < '0' || d > '9' {
		return string(d)
	}
	return l.digits[d-'0']
}

func (l locale) grouped(whole string) string {
	model := int64(0)
	for range min(len(whole), 18) {
		model = model*10 + 1
	}
	pattern := l.printer.Sprint(number.Decimal(model))
	var b strings.Builder
	extra := max(0, len(whole)-18) // more than any amount here has
	at := 0
	for _, d := range whole[:extra] {
		b.WriteString(l.digit(d))
	}
	one := l.digits[1]
	for pattern != "" {
		if rest, ok := strings.CutPrefix(pattern, one); ok && extra+at < len(whole) {
			b.WriteString(l.digit(rune(whole[extra+at])))
			pattern = rest
			at++
			continue
		}
		r := []rune(pattern)[0]
		b.WriteRune(r)
		pattern = pattern[len(string(r)):]
	}
	return b.String()
}

// amount is an amount in its currency's minor unit, without its code.
func (l locale) amount(d decimal.Decimal, c money.Currency) string {
	return l.number(money.Fixed(d, c.Digits()))
}

// unitPrice keeps the decimals that an exact price has.
func (l locale) unitPrice(d decimal.Decimal, c money.Currency) string {
	return l.number(money.Fixed(d, max(c.Digits(), d.Trim(0).Scale())))
}

// signed is an amount with + or - before it.
func (l locale) signed(d decimal.Decimal, c money.Currency) string {
	if d.IsPos() {
		return "+" + l.amount(d, c)
	}
	return l.amount(d, c)
}

// percent is how much d is of a whole, signed, to one decimal, half up; empty
// of nothing.
func (l locale) percent(d, of decimal.Decimal) string {
	if of.IsZero() {
		return ""
	}
	r := money.Rat(d)
	r.Quo(r, money.Rat(of)).Mul(r, money.Rat(decimal.Hundred))
	text := r.FloatString(1) // rounds halves away from zero
	if text == "-0.0" {
		text = "0.0"
	}
	if d.IsPos() == of.IsPos() && text != "0.0" {
		text = "+" + text
	}
	sign := strings.HasPrefix(text, "+")
	text = l.number(strings.TrimPrefix(text, "+")) + " %"
	if sign {
		text = "+" + text
	}
	return text
}

// date writes a date as the locale's region does: March 16, 2026 in the United
// States, 16 March 2026 elsewhere in English, 2026-03-16 in other languages,
// whose month names we have not.
func (l locale) date(d civil.Date) string {
	if d.IsZero() {
		return ""
	}
	base, _ := l.tag.Base()
	region, _ := l.tag.Region()
	switch {
	case base.String() != "en":
		return d.String()
	case region.String() == "US":
		return fmt.Sprintf("%s %d, %d", d.Month, d.Day, d.Year)
	default:
		return fmt.Sprintf("%d %s %d", d.Day, d.Month, d.Year)
	}
}
