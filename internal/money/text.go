package money

import (
	"fmt"
	"strings"

	"github.com/govalues/decimal"
)

// plain reports whether s is -?(0|[1-9][0-9]*)(\.[0-9]+)?. It is asked of every
// number in a price list.
func plain(s string) bool {
	s = strings.TrimPrefix(s, "-")
	whole, decimals, point := strings.Cut(s, ".")
	return whole != "" && digits(whole) && (whole[0] != '0' || len(whole) == 1) && (!point || decimals != "" && digits(decimals))
}

func digits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}

// ParseDecimal reads a number in plain notation: digits, at most one decimal
// point with digits on both sides, a leading minus where negative. It takes no
// exponent, thousands separator, currency sign, plus sign or leading zero, and
// at most 19 digits, so what is read is exactly what was written.
func ParseDecimal(s string) (decimal.Decimal, error) {
	if len(s) > 64 {
		return decimal.Decimal{}, fmt.Errorf("%q... is not a number: expected at most %d digits", s[:20], decimal.MaxPrec)
	}
	if !plain(s) {
		return decimal.Decimal{}, fmt.Errorf("%q is not a number: expected plain digits such as 1234.50", s)
	}
	_, decimals, _ := strings.Cut(s, ".")
	d, err := decimal.ParseExact(s, min(len(decimals), decimal.MaxScale))
	if err != nil || d.Scale() < len(decimals) {
		return decimal.Decimal{}, fmt.Errorf("%q has too many digits: expected at most %d", s, decimal.MaxPrec)
	}
	return d, nil
}

// Fixed is d with exactly scale decimals: "12.50". What has more decimals is
// rounded half up, away from zero; round by a named rule first where the rule
// matters.
func Fixed(d decimal.Decimal, scale int) string {
	scale = max(scale, 0)
	s := d.String()
	if d.Scale() > scale {
		s = halfUp(d, scale).String()
	}
	whole, decimals, _ := strings.Cut(s, ".")
	if scale == 0 {
		return whole
	}
	return whole + "." + decimals + strings.Repeat("0", scale-len(decimals))
}
