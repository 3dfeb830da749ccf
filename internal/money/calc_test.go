package money

import (
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/fault"
)

func dec(s string) decimal.Decimal { return decimal.MustParse(s) }

// [BOM-1] the priced bill of 1,320 ft of woven wire, Iowa State Ag Decision
// Maker B1-75 (2012): 2,553.30 (printed there as 2,553.31), 1.934 per ft. A
// check of the arithmetic, not of the counts.
func TestPricedBill(t *testing.T) {
	var c Calc
	var total decimal.Decimal
	for _, line := range []struct{ quantity, price string }{
		{"4", "28.00"}, {"57", "9.00"}, {"55", "5.00"}, {"10", "1.80"}, {"1320", "0.06"}, {"1320", "0.70"}, {"42", "15.05"},
	} {
		total = c.Add(total, c.Mul(dec(line.quantity), dec(line.price)))
	}
	if got := Fixed(total, 2); got != "2553.30" {
		t.Errorf("total %s, want 2553.30", got)
	}
	if got := Fixed(c.Quo(total, dec("1320")), 3); got != "1.934" {
		t.Errorf("per foot %s, want 1.934", got)
	}
	if c.Err() != nil {
		t.Error(c.Err())
	}
}

// [TAX-6: businessecon.org] cost 100, markup 40 % -> price 140, margin 28.57 %;
// markup 50 % -> margin 33.3 %.
func TestMarkupIsNotMargin(t *testing.T) {
	var c Calc
	cost := dec("100")
	for _, check := range []struct {
		what  string
		got   decimal.Decimal
		scale int
		want  string
	}{
		{"price at 40 % markup", c.PriceByMarkup(cost, dec("40")), 2, "140.00"},
		{"margin of 40 % markup", c.MarginOfMarkup(dec("40")), 2, "28.57"},
		{"margin of 50 % markup", c.MarginOfMarkup(dec("50")), 1, "33.3"},
		{"price at 40 % margin", c.PriceByMargin(cost, dec("40")), 2, "166.67"},
		{"price at no margin", c.PriceByMargin(cost, dec("0")), 2, "100.00"},
		{"price at a loss", c.PriceByMargin(cost, dec("-25")), 2, "80.00"},
		{"price at 12.5 % markup", c.PriceByMarkup(dec("17.34"), dec("12.5")), 5, "19.50750"},
	} {
		if got := Fixed(check.got, check.scale); got != check.want {
			t.Errorf("%s: %s, want %s", check.what, got, check.want)
		}
	}
	if c.Err() != nil {
		t.Error(c.Err())
	}
}

// The first error sticks, with its kind and reason, and nothing panics.
func TestCalcErrors(t *testing.T) {
	most := dec("9999999999999999999")
	for name, check := range map[string]struct {
		calc   func(c *Calc) decimal.Decimal
		kind   fault.Kind
		reason string
	}{
		"sum past 19 digits":      {func(c *Calc) decimal.Decimal { return c.Add(most, dec("1")) }, fault.Exhausted, "AMOUNT_OUT_OF_RANGE"},
		"sum that drops decimals": {func(c *Calc) decimal.Decimal { return c.Add(dec("1000000000000"), dec("0.00000001")) }, fault.Exhausted, "AMOUNT_OUT_OF_RANGE"},
		"difference":              {func(c *Calc) decimal.Decimal { return c.Sub(most.Neg(), dec("1")) }, fault.Exhausted, "AMOUNT_OUT_OF_RANGE"},
		"product":                 {func(c *Calc) decimal.Decimal { return c.Mul(most, dec("2")) }, fault.Exhausted, "AMOUNT_OUT_OF_RANGE"},
		"product that drops decimals": {func(c *Calc) decimal.Decimal {
			return c.Mul(dec("123456789.123456789"), dec("1.23"))
		}, fault.Exhausted, "AMOUNT_OUT_OF_RANGE"},
		"product of 20 decimals": {func(c *Calc) decimal.Decimal { return c.Mul(dec("0.0000000001"), dec("0.0000000001")) }, fault.Exhausted, "AMOUNT_OUT_OF_RANGE"},
		"quotient":               {func(c *Calc) decimal.Decimal { return c.Quo(most, dec("0.01")) }, fault.Exhausted, "AMOUNT_OUT_OF_RANGE"},
		"quotient by zero":       {func(c *Calc) decimal.Decimal { return c.Quo(dec("1"), dec("0.00")) }, fault.Invalid, "DIVISION_BY_ZERO"},
		"margin of 100 %":        {func(c *Calc) decimal.Decimal { return c.PriceByMargin(dec("1"), dec("100")) }, fault.Invalid, "MARGIN_OUT_OF_RANGE"},
		"markup of -100 %":       {func(c *Calc) decimal.Decimal { return c.MarginOfMarkup(dec("-100")) }, fault.Invalid, "DIVISION_BY_ZERO"},
	} {
		t.Run(name, func(t *testing.T) {
			var c Calc
			if got := check.calc(&c); !got.IsZero() {
				t.Errorf("the result is %v, want 0", got)
			}
			e, ok := errors.AsType[*fault.Error](c.Err())
			if !ok || e.Kind != check.kind || e.Reason != check.reason {
				t.Fatalf("error %v, want %v %s", c.Err(), check.kind, check.reason)
			}
			if got := c.Add(dec("1"), dec("2")); !got.IsZero() || !errors.Is(c.Err(), e) {
				t.Errorf("after the error, 1 + 2 = %v and the error is %v", got, c.Err())
			}
			c.Quo(dec("1"), decimal.Decimal{})
			c.Mul(most, most)
			if !errors.Is(c.Err(), e) {
				t.Errorf("the first error did not stick: %v", c.Err())
			}
		})
	}
}

func TestCalcSmall(t *testing.T) {
	var c Calc
	for _, check := range []struct {
		got  decimal.Decimal
		want string
	}{
		{c.Sum(), "0"},
		{c.Sum(dec("1.10"), dec("2.20"), dec("-0.30")), "3.00"},
		{c.MulInt(dec("0.0125"), 4000), "50.0000"},
		{c.Mul(dec("1.0000000000"), dec("1.0000000000")), "1"}, // zeros do not count
		{c.Percent(dec("10.99"), dec("6.25")), "0.686875"},     // [TAX-1]
		{c.Quo(dec("1"), dec("3")), "0.33333333"},
		{c.Quo(dec("2"), dec("3")), "0.66666666"}, // cut off, for rounding again
		{c.Quo(dec("-2"), dec("3")), "-0.66666666"},
		{c.Quo(dec("1"), dec("8")), "0.125"},
		{c.Quo(dec("0"), dec("8")), "0"},
		{c.Quo(dec("0.000000001"), dec("1")), "0.00000001"}, // the last digit, 0, says that something is left
		{c.Quo(dec("0.000000055"), dec("1")), "0.00000006"}, // so does 5
		{c.Quo(dec("12.50"), dec("0.05")), "250"},
		{c.Quo(dec("92233720368"), dec("1")), "92233720368"},
		{c.Quo(dec("9000000000000000000"), dec("1.00")), "9000000000000000000"},
	} {
		if got := check.got.String(); got != check.want {
			t.Errorf("got %s, want %s", got, check.want)
		}
	}
	if c.Err() != nil {
		t.Error(c.Err())
	}
}

// Sums, differences, products and percentages are exact or an error.
func TestCalcIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := decimals().Draw(t, "a"), decimals().Draw(t, "b")
		for name, op := range map[string]struct {
			calc  func(*Calc, decimal.Decimal, decimal.Decimal) decimal.Decimal
			exact func(z, x, y *big.Rat) *big.Rat
		}{
			"+": {(*Calc).Add, (*big.Rat).Add},
			"-": {(*Calc).Sub, (*big.Rat).Sub},
			"*": {(*Calc).Mul, (*big.Rat).Mul},
			"%": {(*Calc).Percent, func(z, x, y *big.Rat) *big.Rat { return z.Mul(z.Mul(x, y), big.NewRat(1, 100)) }},
		} {
			var c Calc
			got := op.calc(&c, a, b)
			if want := op.exact(new(big.Rat), rat(a), rat(b)); c.Err() == nil && rat(got).Cmp(want) != 0 {
				t.Fatalf("%v %s %v = %v, want %v", a, name, b, got, want)
			}
		}
	})
}

// Rounding a quotient gives what rounding the exact quotient gives.
func TestQuoThenRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := decimal.MustNew(rapid.Int64Range(-1e9, 1e9).Draw(t, "a"), rapid.IntRange(0, 4).Draw(t, "a's scale"))
		b := decimal.MustNew(rapid.Int64Range(1, 1e6).Draw(t, "b"), rapid.IntRange(0, 4).Draw(t, "b's scale"))
		var c Calc
		quo := c.Quo(a, b)
		exact := new(big.Rat).Quo(rat(a), rat(b))
		if c.Err() != nil {
			if new(big.Rat).Abs(exact).Cmp(big.NewRat(92_233_720_368, 1)) < 0 {
				t.Fatalf("%v / %v: %v", a, b, c.Err())
			}
			return
		}
		for _, digits := range []Currency{"JPY", "USD", "BHD"} {
			// FloatString rounds halves away from zero.
			want := exact.FloatString(digits.Digits())
			if got := HalfUp.Round(quo, digits); got.Cmp(dec(want)) != 0 {
				t.Fatalf("%v / %v = %v, which rounds to %v, want %v", a, b, quo, got, want)
			}
			even := HalfEven.Round(quo, digits)
			unit := rat(decimal.MustNew(1, digits.Digits()))
			off := new(big.Rat).Sub(rat(even), exact)
			if off.Abs(off).Cmp(unit.Mul(unit, big.NewRat(1, 2))) > 0 {
				t.Fatalf("%v / %v = %v, which rounds half even to %v, off by %v", a, b, quo, even, off.FloatString(10))
			}
		}
	})
}

func TestErrorTellsNoInternals(t *testing.T) {
	var c Calc
	c.Mul(dec("9999999999999999999"), dec("2"))
	if got := c.Err().Error(); got != "an amount needs more than the 19 digits a decimal holds" || strings.Contains(got, "decimal.Decimal") {
		t.Errorf("got %q", got)
	}
}

func TestRat(t *testing.T) {
	for text, want := range map[string]string{"0": "0/1", "12.50": "25/2", "-0.0075": "-3/400", "3": "3/1",
		"-9999999999999999999": "-9999999999999999999/1", "0.9223372036854775807": "9223372036854775807/10000000000000000000"} {
		d := decimal.MustParse(text)
		if got := Rat(d).String(); got != want {
			t.Errorf("%s is %s, expected %s", text, got, want)
		}
		if got := Rational(d).Big(); got.Cmp(Rat(d)) != 0 {
			t.Errorf("%s is %s, expected %s", text, got, want)
		}
	}
}

func TestFromRat(t *testing.T) {
	for _, c := range []struct {
		r     string
		scale int
		want  string
		exact bool
	}{
		{"1/8", 3, "0.125", true}, {"1/8", 2, "0.13", false}, {"-1/8", 2, "-0.13", false}, {"2/3", 4, "0.6667", false},
		{"1/3", 4, "0.3333", false}, {"100", 4, "100", true}, {"0", 4, "0", true}, {"5/2", 0, "3", false},
		{"208652490200/100000000000", 10, "2.086524902", true},
	} {
		r, _ := new(big.Rat).SetString(c.r)
		d, exact, err := FromRat(r, c.scale)
		if err != nil || d.String() != c.want || exact != c.exact {
			t.Errorf("%s to %d decimals: %v, %v, %v; want %s, %v", c.r, c.scale, d, exact, err, c.want, c.exact)
		}
	}
	if _, _, err := FromRat(new(big.Rat).SetFrac64(math.MaxInt64, 2), 10); fault.KindOf(err) != fault.Exhausted {
		t.Errorf("too many digits: %v", err)
	}
}
