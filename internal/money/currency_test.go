package money

import (
	"strings"
	"testing"
)

// [TAX-5: ISO 4217 minor units]
func TestMinorUnits(t *testing.T) {
	for code, want := range map[string]int{
		"USD": 2, "CAD": 2, "EUR": 2, "GBP": 2, "JPY": 0, "KRW": 0, "BHD": 3, "KWD": 3, "JOD": 3,
	} {
		c, err := ParseCurrency(code)
		if err != nil || c.Digits() != want || c.String() != code {
			t.Errorf("%s: %v with %d digits, %v; want %d", code, c, c.Digits(), err, want)
		}
	}
}

func TestParseCurrencyRefuses(t *testing.T) {
	for code, why := range map[string]string{
		"":     "expected one of AUD",
		"usd":  `expected capitals, "USD"`,
		"ZZZ":  "expected one of AUD",
		"USD ": "expected one of AUD",
	} {
		if c, err := ParseCurrency(code); err == nil || c != "" || !strings.Contains(err.Error(), why) {
			t.Errorf("ParseCurrency(%q) = %q, %v; want an error saying %q", code, c, err, why)
		}
	}
}

func TestCurrencies(t *testing.T) {
	for _, c := range Currencies() {
		if got, err := ParseCurrency(c.String()); err != nil || got != c || c.IsZero() || len(c) != 3 {
			t.Errorf("%q is listed but reads %q, %v", c, got, err)
		}
	}
	var none Currency
	if !none.IsZero() || none.Digits() != 2 {
		t.Errorf("no currency: IsZero %v, %d digits", none.IsZero(), none.Digits())
	}
}
