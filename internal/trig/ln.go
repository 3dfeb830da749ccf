package trig

import (
	"fmt"
	"math/big"
)

// precision of Ln is in bits. math/big rounds each operation to it in the same
// way on every machine.
const precision = 128

// Ln is the natural logarithm of x to the nearest Quantum; where the truth lies
// within 1e-30 of the middle of two, it may be either, but always the same one.
// It is an error where x is not positive.
//
// x is brought between 1/2 and 1 by a power of two: ln x = ln m + k ln 2, with
// ln m = 2 (z + z^3/3 + z^5/5 ...), z = (m - 1)/(m + 1).
func Ln(x *big.Rat) (*big.Rat, error) {
	if x.Sign() <= 0 {
		return nil, fmt.Errorf("the logarithm of %s; expected more than 0", short(x))
	}
	exact, _ := bits(precision).ln(x).Rat(nil)
	return Quantise(exact), nil
}

// bits is a precision in which logarithms and powers are worked out.
type bits uint

func (b bits) number(n int64) *big.Float { return new(big.Float).SetPrec(uint(b)).SetInt64(n) }

func (b bits) fraction(x *big.Rat) *big.Float { return b.number(0).SetRat(x) }

// ln is the logarithm of x > 0.
func (b bits) ln(x *big.Rat) *big.Float {
	m := b.number(0)
	k := b.fraction(x).MantExp(m)
	sum := b.lnBetween(m)
	if k == 0 {
		return sum
	}
	return sum.Add(sum, b.number(0).Mul(b.ln2(), b.number(int64(k))))
}

func (b bits) ln2() *big.Float {
	half := b.lnBetween(b.fraction(big.NewRat(1, 2)))
	return half.Neg(half)
}

// lnBetween is the logarithm of m, 1/2 <= m < 1, so that -1/3 <= z < 0. It adds as
// many terms as the bits can hold: each next one is at most a ninth of the one
// before, so less by 3 bits and more.
func (b bits) lnBetween(m *big.Float) *big.Float {
	one := b.number(1)
	z := b.number(0).Quo(b.number(0).Sub(m, one), b.number(0).Add(m, one))
	square, power, sum := b.number(0).Mul(z, z), b.number(0).Set(z), b.number(0)
	odd, term := b.number(0), b.number(0)
	for n := range int64(b)/3 + 2 {
		sum.Add(sum, term.Quo(power, odd.SetInt64(2*n+1)))
		power.Mul(power, square)
	}
	return sum.Mul(sum, b.number(2))
}
