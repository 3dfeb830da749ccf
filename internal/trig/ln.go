package trig

import (
	"fmt"
	"math/big"
)

const (
	// precision is in bits. math/big rounds each operation to it in the same
	// way on every machine.
	precision = 128
	// terms are as many of the series as 128 bits can hold: each next one is at
	// most a ninth of the one before, and 9^-44 is below 2^-139.
	terms = 44
)

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
	m := number(0)
	k := number(0).SetRat(x).MantExp(m)
	sum := lnBetween(m)
	ln2 := lnBetween(number(0).SetRat(big.NewRat(1, 2)))
	sum.Sub(sum, ln2.Mul(ln2, number(int64(k))))
	exact, _ := sum.Rat(nil)
	return Quantise(exact), nil
}

// lnBetween is the logarithm of m, 1/2 <= m < 1, so that -1/3 <= z < 0.
func lnBetween(m *big.Float) *big.Float {
	one := number(1)
	z := number(0).Quo(number(0).Sub(m, one), number(0).Add(m, one))
	square, power, sum := number(0).Mul(z, z), number(0).Set(z), number(0)
	for n := range int64(terms) {
		sum.Add(sum, number(0).Quo(power, number(2*n+1)))
		power.Mul(power, square)
	}
	return sum.Mul(sum, number(2))
}

func number(n int64) *big.Float { return new(big.Float).SetPrec(precision).SetInt64(n) }
