package money

import (
	"fmt"
	"slices"

	"github.com/govalues/decimal"
)

// Rounding is a named rule by which an amount becomes whole minor units of its
// currency. The name is part of a quote: an amount is the same years later only
// if its rule is.
type Rounding string

const (
	// HalfUp is the nearest minor unit, halves away from zero.
	HalfUp Rounding = "half-up"
	// HalfUpThird carries the amount to one decimal more than the currency has
	// (the third for cents), cuts the rest off, and rounds that half up, away
	// from zero. The amount it gives is always HalfUp's; it has its own name
	// because tax law words it so, and an invoice must name the rule it follows
	// [TAX-1: Streamlined Sales and Use Tax Agreement s. 324].
	HalfUpThird Rounding = "half-up-third-decimal"
	// HalfEven is the nearest minor unit, halves to the even one.
	HalfEven Rounding = "half-even"
)

// Roundings are all rules.
func Roundings() []Rounding { return []Rounding{HalfUp, HalfUpThird, HalfEven} }

// ParseRounding reads a rule by its name.
func ParseRounding(name string) (Rounding, error) {
	if r := Rounding(name); slices.Contains(Roundings(), r) {
		return r, nil
	}
	return "", fmt.Errorf("%q is not a rounding rule; expected one of %s", name, list(Roundings()))
}

func (r Rounding) String() string { return string(r) }

// Round is d in whole minor units of c, with exactly c's decimals (fewer only
// where 19 digits cannot hold them). A rule that ParseRounding would refuse
// rounds as HalfUp.
func (r Rounding) Round(d decimal.Decimal, c Currency) decimal.Decimal {
	digits := c.Digits()
	switch r {
	case HalfEven:
		d = d.Round(digits)
	case HalfUpThird:
		d = halfUp(d.Trunc(digits+1), digits)
	default:
		d = halfUp(d, digits)
	}
	return d.Pad(digits)
}

// halfUp is d to at most scale decimals, halves away from zero.
func halfUp(d decimal.Decimal, scale int) decimal.Decimal {
	if d.Scale() <= scale {
		return d
	}
	cut := d.Trunc(scale) // 18 digits at most, so nothing below can overflow
	rest, _ := d.SubAbs(cut)
	half := decimal.MustNew(5, scale+1)
	if rest.Less(half) {
		return cut
	}
	up, _ := cut.Add(cut.ULP().CopySign(d))
	return up
}
