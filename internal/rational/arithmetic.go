package rational

import (
	"math"
	"math/big"
	"math/bits"
)

// Add is a + b.
func (a Number) Add(b Number) Number {
	if a.big == nil && b.big == nil {
		ad, bd := a.denominator(), b.denominator()
		// Over what the denominators have in common, which is all that the sum
		// can be reduced by [Knuth, The Art of Computer Programming, 4.5.1].
		low := int64(1)
		if ad != 1 && bd != 1 {
			low = gcd(ad, bd)
		}
		x, ok1 := times(a.num, bd/low)
		y, ok2 := times(b.num, ad/low)
		n, ok3 := plus(x, y)
		if low != 1 {
			common := gcd(n, low)
			n, bd = n/common, bd/common
		}
		if d, ok4 := times(ad/low, bd); ok1 && ok2 && ok3 && ok4 {
			return Number{num: n, den: d}
		}
	}
	return own(new(big.Rat).Add(a.large(), b.large()))
}

// Sub is a - b.
func (a Number) Sub(b Number) Number { return a.Add(b.Neg()) }

// Neg is -a.
func (a Number) Neg() Number {
	if a.big != nil {
		return own(new(big.Rat).Neg(a.big))
	}
	a.num = -a.num
	return a
}

// Mul is a times b.
func (a Number) Mul(b Number) Number {
	if a.big == nil && b.big == nil {
		ad, bd := a.denominator(), b.denominator()
		an, bd := reduced(a.num, bd)
		bn, ad := reduced(b.num, ad)
		n, ok1 := times(an, bn)
		if d, ok2 := times(ad, bd); ok1 && ok2 {
			return Number{num: n, den: d}
		}
	}
	return own(new(big.Rat).Mul(a.large(), b.large()))
}

// Quo is a / b. It panics where b is 0.
func (a Number) Quo(b Number) Number {
	switch {
	case b.Sign() == 0:
		panic("rational: division by zero")
	case b.big != nil:
		return own(new(big.Rat).Quo(a.large(), b.big))
	case b.num < 0:
		return a.Mul(Number{num: -b.denominator(), den: -b.num})
	default:
		return a.Mul(Number{num: b.denominator(), den: b.num})
	}
}

// Floor is the largest whole number that is at most a.
func (a Number) Floor() Number {
	if a.big != nil {
		return own(new(big.Rat).SetInt(new(big.Int).Div(a.big.Num(), a.big.Denom())))
	}
	n := a.num / a.denominator()
	if a.num < 0 && !a.IsInt() { // the machine divides towards zero
		n--
	}
	return Int(n)
}

// Ceil is the least whole number that is at least a.
func (a Number) Ceil() Number { return a.Neg().Floor().Neg() }

// HalfUp is the multiple of 10^-places that is nearest to a, the larger one where
// two are.
func (a Number) HalfUp(places int) Number {
	unit := TenTo(places)
	if a.big == nil {
		return a.Mul(unit).Add(half).Floor().Quo(unit)
	}
	// floor((2 a 10^places + 1) / 2), as one division of integers.
	n := new(big.Int).Mul(a.big.Num(), unit.large().Num())
	n.Add(n.Lsh(n, 1), a.big.Denom())
	n.Div(n, new(big.Int).Lsh(a.big.Denom(), 1))
	if n.IsInt64() {
		return Int(n.Int64()).Quo(unit)
	}
	return own(new(big.Rat).SetInt(n)).Quo(unit)
}

var half = Of(1, 2)

// gcd of two numbers of which the second is not zero is above zero.
func gcd(a, b int64) int64 {
	x, y := magnitude(a), magnitude(b)
	for x != 0 {
		x, y = y%x, x
	}
	return int64(y)
}

// reduced divides both by what they have in common; b is not zero.
func reduced(a, b int64) (num, den int64) {
	if b == 1 {
		return a, b
	}
	common := gcd(a, b)
	return a / common, b / common
}

func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// times is a x b, and whether its magnitude is one of a word.
func times(a, b int64) (product int64, ok bool) {
	hi, lo := bits.Mul64(magnitude(a), magnitude(b))
	return a * b, hi == 0 && lo <= math.MaxInt64
}

// plus is a + b, and whether its magnitude is one of a word.
func plus(a, b int64) (sum int64, ok bool) {
	sum = a + b
	return sum, (sum > a) == (b > 0) && sum != math.MinInt64
}
