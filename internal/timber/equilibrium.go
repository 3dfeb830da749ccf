package timber

import (
	"math/big"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
)

// The temperatures that Equilibrium takes, in tenths of a degree Celsius. The
// published tables begin at -1 C; below that the equation is carried on, down
// to where all of its terms still make sense.
const (
	coldest = -300
	hottest = 700
)

// Equilibrium is the moisture content that wood comes to in air of a steady
// temperature, in degrees Celsius, and relative humidity, in percent, to the
// nearest 0.01 %, halves up [WOOD-1]. It is reckoned in fractions and rounded
// once. Wood under a roof follows the air; rain and wet ground take it higher.
//
// The temperature is -30 to 70 degrees in whole tenths, so that one taken from
// Fahrenheit by Celsius has no digits that nobody measured; the humidity is 0 to
// 100. All that is wrong with them is in the error, as "temperature" and
// "humidity".
func Equilibrium(temperature, humidity decimal.Decimal) (Moisture, error) {
	var v fault.List
	tenths, whole := tenthsOf(temperature)
	v.Require(whole && tenths >= coldest && tenths <= hottest, "temperature",
		"expected %s to %s degrees Celsius in tenths of a degree, found %s", decimalText(coldest, 1), decimalText(hottest, 1), temperature)
	percent := fraction(humidity)
	v.Require(percent.Sign() >= 0 && percent.Cmp(big.NewRat(100, 1)) <= 0, "humidity",
		"expected a relative humidity of 0 to 100 percent, found %s", humidity)
	if err := v.Err(); err != nil {
		return 0, err
	}
	return equilibrium(big.NewRat(tenths, 10), percent), nil
}

// Celsius is a temperature in degrees Fahrenheit, in whole tenths, as the
// nearest tenth of a degree Celsius, halves away from zero: 70 is 21.1. It is an
// error, under "temperature", for one that Equilibrium would not take.
func Celsius(fahrenheit decimal.Decimal) (decimal.Decimal, error) {
	const lowest, highest = -220, 1580 // coldest and hottest
	var v fault.List
	tenths, whole := tenthsOf(fahrenheit)
	if !v.Require(whole && tenths >= lowest && tenths <= highest, "temperature",
		"expected %s to %s degrees Fahrenheit in tenths of a degree, found %s", decimalText(lowest, 1), decimalText(highest, 1), fahrenheit) {
		return decimal.Decimal{}, v.Err()
	}
	celsius := nearest(big.NewRat((tenths-320)*5, 9))
	return decimal.New(celsius, 1)
}

// curve is a + bT + cT^2, its coefficients in units of 1e-8.
type curve struct{ a, b, c int64 }

const unit = 1e8

func (c curve) at(t *big.Rat) *big.Rat {
	sum := big.NewRat(c.c, unit)
	sum.Mul(sum, t).Add(sum, big.NewRat(c.b, unit))
	return sum.Mul(sum, t).Add(sum, big.NewRat(c.a, unit))
}

// The terms of [WOOD-1] by temperature in degrees Celsius.
var (
	curveW  = curve{349 * unit, 1.29 * unit, 0.0135 * unit}
	curveK  = curve{0.805 * unit, 0.000736 * unit, -0.00000273 * unit}
	curveK1 = curve{6.27 * unit, -0.00938 * unit, -0.000303 * unit}
	curveK2 = curve{1.91 * unit, 0.0407 * unit, -0.000293 * unit}
)

// equilibrium is Equilibrium of arguments in range, where K < 1 and K1 and K2
// are positive: so nothing is divided by zero and more humidity is never drier.
func equilibrium(celsius, humidity *big.Rat) Moisture {
	times := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
	plus := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, b) }
	over := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) }
	one := big.NewRat(1, 1)

	kh := times(curveK.at(celsius), times(humidity, big.NewRat(1, 100)))
	single := times(curveK1.at(celsius), kh)                // K1 K h
	double := times(single, times(curveK2.at(celsius), kh)) // K1 K2 K^2 h^2
	sum := plus(
		over(kh, new(big.Rat).Sub(one, kh)),
		over(plus(single, plus(double, double)), plus(one, plus(single, double))))
	percent := times(over(big.NewRat(1800, 1), curveW.at(celsius)), sum)
	return Moisture(nearest(times(percent, big.NewRat(int64(Percent), 1))))
}

// fraction is d, exactly.
func fraction(d decimal.Decimal) *big.Rat {
	r, _ := new(big.Rat).SetString(d.String()) // the text of a decimal is one of a fraction
	return r
}

// tenthsOf is d in tenths; not whole where it is finer than that, or past any
// temperature.
func tenthsOf(d decimal.Decimal) (tenths int64, whole bool) {
	r := fraction(d)
	r.Mul(r, big.NewRat(10, 1))
	return r.Num().Int64(), r.IsInt() && r.Num().IsInt64()
}

// nearest is r to the nearest integer, halves away from zero.
func nearest(r *big.Rat) int64 {
	// |r| + 1/2, floored, with r's sign.
	n := new(big.Int).Abs(r.Num())
	n.Lsh(n, 1).Add(n, r.Denom())
	n.Quo(n, new(big.Int).Lsh(r.Denom(), 1))
	if r.Sign() < 0 {
		n.Neg(n)
	}
	return n.Int64()
}
