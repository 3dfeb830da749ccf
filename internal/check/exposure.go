package check

import (
	"fmt"
	"math/big"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/trig"
)

// Exposure is how open the ground upwind is. The zero Exposure is "not known".
type Exposure string

const (
	ExposureB Exposure = "B" // built-up or wooded
	ExposureC Exposure = "C" // open, scattered obstructions
	ExposureD Exposure = "D" // flat, across water
)

// Exposures lists every exposure.
func Exposures() []Exposure { return []Exposure{ExposureB, ExposureC, ExposureD} }

// Known reports whether e is one of Exposures.
func (e Exposure) Known() bool { return slices.Contains(Exposures(), e) }

// exposureFactors is Kz up to and including a height [ASCE 7-10 Table 29.3-1 as
// copied, WL-2], in the order of Exposures.
var exposureFactors = []struct {
	upTo measure.Length
	kz   [3]string
}{
	{15 * measure.Foot, [3]string{"0.57", "0.85", "1.03"}},
	{20 * measure.Foot, [3]string{"0.62", "0.90", "1.08"}},
}

// Kz is the velocity pressure exposure coefficient at a height above grade, the
// row's value over the whole of the row; not ok above 20 ft and where e is not
// known.
func (e Exposure) Kz(height measure.Length) (kz decimal.Decimal, ok bool) {
	column := slices.Index(Exposures(), e)
	for _, row := range exposureFactors {
		if column >= 0 && height <= row.upTo {
			d, err := decimal.Parse(row.kz[column])
			return d, err == nil
		}
	}
	return decimal.Decimal{}, false
}

// VelocityPressure is qz = 0.00256 Kz Kzt Kd V^2 in psf, V in miles an hour,
// exactly.
func VelocityPressure(kz, kzt, kd, v decimal.Decimal) *big.Rat {
	return product(ratio("0.00256"), money.Rat(kz), money.Rat(kzt), money.Rat(kd), money.Rat(v), money.Rat(v))
}

// ForceCoefficient is Cf of a solid freestanding wall [WL-10: CIRSOC 102, after
// ASCE 7-16 figure 29.3-1]: the fit, with x = B/s (length over height of the
// solid part) and y = s/h (solid part over height above grade), rounded to the
// nearest 0.05, halves up:
//
//	(1.563 + 0.008542 ln x - 0.06148 y + 0.009011 ln^2 x - 0.2603 y^2 - 0.08393 y ln x) / 0.85
//
// The figure's columns run from x = 0.05 to 45 and its last row is y = 0.16
// (from memory); beyond them the nearest of them holds. It leaves out the higher
// zones at free ends and corners. It is an error where x is not positive or y is
// not between 0 and 1.
func ForceCoefficient(x, y *big.Rat) (*big.Rat, error) {
	one := big.NewRat(1, 1)
	switch {
	case x.Sign() <= 0:
		return nil, fmt.Errorf("length over height is %s; expected more than 0", x.FloatString(3))
	case y.Sign() <= 0 || y.Cmp(one) > 0:
		return nil, fmt.Errorf("solid height over height is %s; expected more than 0 and at most 1", y.FloatString(3))
	}
	x = atLeast(ratio("0.05"), atMost(ratio("45"), x))
	y = atLeast(ratio("0.16"), y)
	ln, err := trig.Ln(x)
	if err != nil {
		return nil, err
	}
	cf := ratio("1.563")
	for _, term := range []*big.Rat{
		product(ratio("0.008542"), ln),
		product(ratio("-0.06148"), y),
		product(ratio("0.009011"), ln, ln),
		product(ratio("-0.2603"), y, y),
		product(ratio("-0.08393"), y, ln),
	} {
		cf.Add(cf, term)
	}
	twentieths := roundHalfUp(product(cf, ratio("20"), new(big.Rat).Inv(ratio("0.85"))))
	return new(big.Rat).SetFrac(twentieths, big.NewInt(20)), nil
}

// OpenFactor is what openings leave of the force on a solid fence of the same
// outline: 1 - (1 - e)^1.5, e the solid part of the outline [WL-12]. The rule is
// for openings under 30 %; the caller sees to that. It is an error where e is not
// between 0 and 1.
func OpenFactor(e decimal.Decimal) (*big.Rat, error) {
	if !within(e, "0", "1") {
		return nil, fmt.Errorf("a solid part of %s; expected 0 to 1", e)
	}
	one := big.NewRat(1, 1)
	open, err := trig.Pow32(new(big.Rat).Sub(one, money.Rat(e)))
	if err != nil {
		return nil, err
	}
	return open.Sub(one, open), nil
}

func atLeast(low, x *big.Rat) *big.Rat {
	if x.Cmp(low) < 0 {
		return low
	}
	return x
}

func atMost(high, x *big.Rat) *big.Rat {
	if x.Cmp(high) > 0 {
		return high
	}
	return x
}
