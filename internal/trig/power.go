package trig

import (
	"fmt"
	"math/big"
)

const (
	// productBits hold 40 decimals and 120 bits more for what is lost between.
	productBits = bits(256)
	// mostDecimals is what productBits are made for.
	mostDecimals = 40
	// mostExponent bounds the logarithm of a product: e^1000 has 435 digits.
	mostExponent = 1000
)

// PowerProduct is the product of every base to the power of its exponent, exp of
// the sum of exponent times ln base, in units of the last of a number of decimals
// (40 at most), rounded half up; where the truth lies within 1e-50 of the middle
// of two, relative to the product, it may be either, but always the same one. It
// is an error where a base is not positive or the product's logarithm is over 1000
// in either direction.
func PowerProduct(bases, exponents []*big.Rat, decimals int) (*big.Int, error) {
	if len(bases) != len(exponents) || decimals < 0 || decimals > mostDecimals {
		return nil, fmt.Errorf("%d bases to %d exponents with %d decimals; expected as many of each and at most %d decimals", len(bases), len(exponents), decimals, mostDecimals)
	}
	// One logarithm of 2 for all of them: sum is what the mantissas make, and
	// twos the powers of two beside it.
	sum, twos := productBits.number(0), productBits.number(0)
	for i, base := range bases {
		if base.Sign() <= 0 {
			return nil, fmt.Errorf("a power of %s; expected more than 0", short(base))
		}
		if base.Num().CmpAbs(base.Denom()) == 0 || exponents[i].Sign() == 0 {
			continue
		}
		m, exponent := productBits.fraction(base), productBits.fraction(exponents[i])
		k := m.MantExp(m)
		twos.Add(twos, productBits.number(0).Mul(exponent, productBits.number(int64(k))))
		sum.Add(sum, exponent.Mul(exponent, productBits.lnBetween(m)))
	}
	ln2 := productBits.ln2()
	sum.Add(sum, twos.Mul(twos, ln2))
	if productBits.number(mostExponent).Cmp(new(big.Float).Abs(sum)) < 0 {
		return nil, fmt.Errorf("exp of %s; expected at most %d in either direction", sum.Text('f', 3), mostExponent)
	}
	exact, _ := productBits.exp(sum, ln2).Rat(nil)
	// floor((2 x 10^decimals + 1) / 2), as one division of integers.
	unit := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)
	n := new(big.Int).Mul(exact.Num(), unit)
	n.Lsh(n, 1).Add(n, exact.Denom())
	return n.Quo(n, new(big.Int).Lsh(exact.Denom(), 1)), nil
}

// halvings is how often exp halves its argument before the series, and squares
// the result after it: each squaring loses one bit, each halving saves terms.
const halvings = 16

// exp is e to the power of x: x = k ln 2 + r with |r| below ln 2, and e^r by the
// series of r/2^halvings.
func (b bits) exp(x, ln2 *big.Float) *big.Float {
	k, _ := b.number(0).Quo(x, ln2).Int64()
	r := b.number(0).Sub(x, b.number(0).Mul(ln2, b.number(k)))
	r.SetMantExp(r, -halvings)
	// Each next term is less by halvings bits and more.
	term, sum := b.number(1), b.number(1)
	for n := range int64(b)/halvings + 1 {
		term.Mul(term, r).Quo(term, b.number(n+1))
		sum.Add(sum, term)
	}
	for range halvings {
		sum.Mul(sum, sum)
	}
	return sum.SetMantExp(sum, int(k))
}
