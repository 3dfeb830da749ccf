package money

import (
	"math/big"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"
)

func TestRounding(t *testing.T) {
	for _, c := range []struct {
		rule         Rounding
		currency     Currency
		amount, want string
	}{
		// [TAX-1: Streamlined Sales and Use Tax Agreement s. 324 (RI 44-18.1-25)]
		{HalfUpThird, USD, "1.234", "1.23"},
		{HalfUpThird, USD, "1.235", "1.24"},
		{HalfUpThird, USD, "0.686875", "0.69"}, // 6.25 % of 10.99
		{HalfUpThird, USD, "1.22499", "1.22"},  // no double rounding
		{HalfUp, USD, "1.234", "1.23"},
		{HalfUp, USD, "1.235", "1.24"},
		{HalfUp, USD, "1.22499", "1.22"},
		// [TAX-4] 7 % of 17.50
		{HalfUp, USD, "1.225", "1.23"},
		{HalfUpThird, USD, "1.225", "1.23"},
		{HalfEven, USD, "1.225", "1.22"},
		{HalfEven, USD, "1.235", "1.24"},
		{HalfEven, USD, "1.22501", "1.23"},
		// negative amounts (discounts, credits) mirror positive ones
		{HalfUp, USD, "-1.235", "-1.24"},
		{HalfUp, USD, "-1.234", "-1.23"},
		{HalfUp, USD, "-0.005", "-0.01"},
		{HalfUp, USD, "-0.004", "0.00"},
		{HalfUpThird, USD, "-1.22499", "-1.22"},
		{HalfEven, USD, "-1.225", "-1.22"},
		// [TAX-5] each currency's own minor unit
		{HalfUp, "JPY", "99.5", "100"},
		{HalfUpThird, "JPY", "99.49", "99"},
		{HalfEven, "JPY", "98.5", "98"},
		{HalfUp, "BHD", "1.2345", "1.235"},
		{HalfUpThird, "BHD", "1.23449", "1.234"},
		// always the currency's decimals
		{HalfUp, USD, "12.5", "12.50"},
		{HalfEven, USD, "12", "12.00"},
		{HalfUpThird, USD, "0", "0.00"},
		// the carry runs through; the largest amounts do not overflow
		{HalfUp, USD, "9.995", "10.00"},
		{HalfUp, USD, "9999999999999999.995", "10000000000000000.00"},
		{HalfUp, "JPY", "999999999999999999.9", "1000000000000000000"},
		{HalfUp, USD, "9999999999999999999", "9999999999999999999"},
		{"", USD, "1.235", "1.24"},
	} {
		if got := c.rule.Round(decimal.MustParse(c.amount), c.currency).String(); got != c.want {
			t.Errorf("%s of %s %s = %s, want %s", c.rule, c.currency, c.amount, got, c.want)
		}
	}
}

// [TAX-4] four lines of 17.50 at 7 %: the rule must be named, and whether it
// works per line or on the total.
func TestRoundingRuleMatters(t *testing.T) {
	var c Calc
	rate := decimal.MustParse("7")
	perLine := func(r Rounding) string {
		var sum decimal.Decimal
		for range 4 {
			sum = c.Add(sum, r.Round(c.Percent(decimal.MustParse("17.50"), rate), USD))
		}
		return Fixed(sum, 2)
	}
	if got := perLine(HalfEven); got != "4.88" {
		t.Errorf("half even per line: %s, want 4.88", got)
	}
	if got := perLine(HalfUp); got != "4.92" {
		t.Errorf("half up per line: %s, want 4.92", got)
	}
	for _, r := range Roundings() {
		total := r.Round(c.Percent(decimal.MustParse("70.00"), rate), USD)
		if total.String() != "4.90" {
			t.Errorf("%s on the total: %v, want 4.90", r, total)
		}
	}
	if c.Err() != nil {
		t.Error(c.Err())
	}
}

func TestParseRounding(t *testing.T) {
	for _, want := range Roundings() {
		if got, err := ParseRounding(want.String()); err != nil || got != want {
			t.Errorf("ParseRounding(%q) = %q, %v", want, got, err)
		}
	}
	for _, name := range []string{"", "half-down", "HALF-UP"} {
		if r, err := ParseRounding(name); err == nil || r != "" || !strings.Contains(err.Error(), "half-up, half-up-third-decimal, half-even") {
			t.Errorf("ParseRounding(%q) = %q, %v", name, r, err)
		}
	}
}

// decimals draws any decimal: up to 18 digits, any scale.
func decimals() *rapid.Generator[decimal.Decimal] {
	return rapid.Custom(func(t *rapid.T) decimal.Decimal {
		most := int64(1)
		for range rapid.IntRange(0, 18).Draw(t, "digits") {
			most *= 10
		}
		return decimal.MustNew(rapid.Int64Range(-most, most).Draw(t, "coefficient"), rapid.IntRange(0, 19).Draw(t, "scale"))
	})
}

func rat(d decimal.Decimal) *big.Rat {
	r, _ := new(big.Rat).SetString(d.String())
	return r
}

// Every rule gives a nearest amount; on halves it goes its own way; and the
// third-decimal rule always gives what half up gives.
func TestRoundingLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := decimals().Draw(t, "amount")
		c := rapid.SampledFrom(Currencies()).Draw(t, "currency")
		unit := rat(decimal.MustNew(1, c.Digits()))
		half := new(big.Rat).Mul(unit, big.NewRat(1, 2))
		for _, rule := range Roundings() {
			got := rule.Round(d, c)
			if new(big.Rat).Quo(rat(got), unit).IsInt() == false {
				t.Fatalf("%s: %v is not in minor units", rule, got)
			}
			off := new(big.Rat).Sub(rat(got), rat(d))
			tie := new(big.Rat).Abs(off).Cmp(half) == 0
			switch {
			case new(big.Rat).Abs(off).Cmp(half) > 0:
				t.Fatalf("%s: %v of %v is not the nearest", rule, got, d)
			case tie && rule == HalfEven && got.Trim(0).Coef()%2 != 0 && got.Trim(0).Scale() == c.Digits():
				t.Fatalf("half even gives %v for %v", got, d)
			case tie && rule != HalfEven && off.Sign() != d.Sign():
				t.Fatalf("%s gives %v for %v", rule, got, d)
			}
		}
		if up, third := HalfUp.Round(d, c), HalfUpThird.Round(d, c); up.Cmp(third) != 0 {
			t.Fatalf("half up gives %v, by the third decimal %v", up, third)
		}
	})
}
