package book

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
)

// Limits of an entry. Nine digits before the point and six after leave room,
// in a decimal's 19, for an extended price with every digit kept.
const (
	MaxName        = 128 // characters of an item, office or supplier
	MaxDescription = 300 // characters
	MaxUnit        = 20  // characters
	MaxScale       = 6   // decimals of a price, pack or quantity
	MaxBreaks      = 50
)

var (
	tooMuch      = decimal.MustParse("1000000000")
	earliestDate = civil.Date{Year: 1900, Month: 1, Day: 1}
	stateNames   = fmt.Sprintf("%q, %q, %q", Priced, Withdrawn, Inherit)
)

// Each rule gives what is wrong, or "" where nothing is.

func nameProblem(s string) string {
	if s == "" {
		return "is empty"
	}
	return textProblem(s, MaxName)
}

func unitProblem(s string) string {
	if s == "" {
		return `is empty; expected the unit the price is for, such as "each" or "bag"`
	}
	return textProblem(s, MaxUnit)
}

func descriptionProblem(s string) string { return textProblem(s, MaxDescription) }

func textProblem(s string, limit int) string {
	if len(s) <= limit && plainText(s) {
		return ""
	}
	if n := badByte(s); n >= 0 {
		return fmt.Sprintf("byte %d of the text is not UTF-8 (0x%02X): save the text as UTF-8, not as Windows-1252 or Latin-1", n+1, s[n])
	}
	if n := utf8.RuneCountInString(s); n > limit {
		return fmt.Sprintf("expected at most %d characters, found %d", limit, n)
	}
	for _, r := range s {
		if unicode.IsControl(r) || r == '\uFEFF' || r == '\u2028' || r == '\u2029' {
			return fmt.Sprintf("holds the control character U+%04X", r)
		}
	}
	if strings.TrimSpace(s) != s {
		return "has a space before or after it"
	}
	return ""
}

// plainText reports whether s is visible ASCII without a space at an end, as
// nearly all names are.
func plainText(s string) bool {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == ' ' && (i == 0 || i == len(s)-1) {
			return false
		}
	}
	return true
}

// badByte is the index of the first byte that is not UTF-8, or -1.
func badByte(s string) int {
	for i, r := range s {
		if r == utf8.RuneError {
			if _, size := utf8.DecodeRuneInString(s[i:]); size == 1 {
				return i
			}
		}
	}
	return -1
}

func dateProblem(d civil.Date) string {
	if d.IsZero() {
		return "is empty; expected a date such as 2026-03-01"
	}
	if d.Compare(earliestDate) < 0 || d.Year > 9999 {
		return fmt.Sprintf("expected a date from %v on, found %v", earliestDate, d)
	}
	return ""
}

func priceProblem(d decimal.Decimal, acceptZero bool) string {
	switch {
	case d.IsNeg():
		return fmt.Sprintf("a price is never negative, found %v", d)
	case d.IsZero() && !acceptZero:
		return `a price of 0 is refused, since it usually means "unknown"; leave the row out, or withdraw the item; accept_zero_prices takes it`
	}
	return sizeProblem(d)
}

func packProblem(d decimal.Decimal) string {
	if !d.IsPos() {
		return fmt.Sprintf("expected a pack above 0, found %v", d)
	}
	return sizeProblem(d)
}

func quantityProblem(d decimal.Decimal) string {
	if d.IsNeg() {
		return fmt.Sprintf("a quantity is never negative, found %v", d)
	}
	return sizeProblem(d)
}

func sizeProblem(d decimal.Decimal) string {
	if d.Cmp(tooMuch) >= 0 {
		return fmt.Sprintf("expected less than %v, found %v", tooMuch, d)
	}
	if d.MinScale() > MaxScale {
		return fmt.Sprintf("expected at most %d decimals, found %v", MaxScale, d)
	}
	return ""
}
