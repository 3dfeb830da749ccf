package measure

import (
	"math"
	"math/bits"
)

// wide is an unsigned 128-bit integer: what the product of two lengths needs.
type wide struct{ hi, lo uint64 }

func product(a, b uint64) wide {
	hi, lo := bits.Mul64(a, b)
	return wide{hi, lo}
}

func (w wide) plus(v wide) wide {
	lo, carry := bits.Add64(w.lo, v.lo, 0)
	hi, _ := bits.Add64(w.hi, v.hi, carry)
	return wide{hi, lo}
}

func (w wide) minus(v wide) wide {
	lo, borrow := bits.Sub64(w.lo, v.lo, 0)
	hi, _ := bits.Sub64(w.hi, v.hi, borrow)
	return wide{hi, lo}
}

func (w wide) less(v wide) bool { return w.hi < v.hi || w.hi == v.hi && w.lo < v.lo }

func (w wide) isZero() bool { return w.hi|w.lo == 0 }

func (w wide) bitLen() int {
	if w.hi != 0 {
		return 64 + bits.Len64(w.hi)
	}
	return bits.Len64(w.lo)
}

func (w wide) shiftLeft(n uint) wide {
	return wide{w.hi<<n | w.lo>>(64-n) | w.lo<<(n-64), w.lo << n}
}

func (w wide) shiftRight(n uint) wide {
	return wide{w.hi >> n, w.lo>>n | w.hi<<(64-n) | w.hi>>(n-64)}
}

// magnitude is |v|, also for the most negative int64.
func magnitude(v int64) uint64 {
	if v < 0 {
		return -uint64(v)
	}
	return uint64(v)
}

// signed is mag with a sign; not ok where it does not fit.
func signed(negative bool, mag uint64) (int64, bool) {
	switch {
	case negative && mag <= 1<<63:
		return int64(-mag), true
	case !negative && mag <= math.MaxInt64:
		return int64(mag), true
	default:
		return 0, false
	}
}

// mulDiv is |a b / c| truncated, the remainder, |c|, and the quotient's sign.
func mulDiv(a, b, c int64) (quo, rem, div uint64, negative, ok bool) {
	n, div := product(magnitude(a), magnitude(b)), magnitude(c)
	if n.hi >= div { // c is zero, or the quotient passes 64 bits
		return 0, 0, 0, false, false
	}
	quo, rem = bits.Div64(n.hi, n.lo, div)
	return quo, rem, div, (a < 0) != (b < 0) != (c < 0), true
}

// MulDivFloor is a times b over c with a 128-bit product, rounded toward
// negative infinity. It is not ok, and 0, where c is zero or the result passes
// int64.
func MulDivFloor(a, b, c int64) (int64, bool) {
	quo, rem, _, negative, ok := mulDiv(a, b, c)
	if !ok {
		return 0, false
	}
	if negative && rem > 0 {
		return oneMore(negative, quo)
	}
	return signed(negative, quo)
}

// MulDivRound is a times b over c with a 128-bit product, rounded to the
// nearest integer, halves away from zero (so that negating an argument only
// negates the result). It is not ok, and 0, where c is zero or the result
// passes int64.
func MulDivRound(a, b, c int64) (int64, bool) {
	quo, rem, div, negative, ok := mulDiv(a, b, c)
	if !ok {
		return 0, false
	}
	if rem >= div-rem {
		return oneMore(negative, quo)
	}
	return signed(negative, quo)
}

func oneMore(negative bool, mag uint64) (int64, bool) {
	if mag == math.MaxUint64 {
		return 0, false
	}
	return signed(negative, mag+1)
}

// sqrt is the largest r with r*r <= w.
func (w wide) sqrt() uint64 {
	if w.isZero() {
		return 0
	}
	// Newton's method from above falls until it reaches the root.
	root := uint64(math.MaxUint64)
	if half := (w.bitLen() + 1) / 2; half < 64 {
		root = 1 << half
	}
	for {
		quo, _ := bits.Div64(w.hi, w.lo, root) // root >= sqrt(w), so the quotient fits
		sum, carry := bits.Add64(root, quo, 0)
		next := sum>>1 | carry<<63
		if next >= root {
			return root
		}
		root = next
	}
}

// sqrtRound is the square root of w to the nearest integer. (A tie cannot be:
// the square of r + 1/2 is no integer.)
func (w wide) sqrtRound() uint64 {
	root := w.sqrt()
	rest := w.minus(product(root, root))
	if (wide{0, root}).less(rest) {
		root++
	}
	return root
}

// dividedBy is w/div to the nearest integer, halves up, for a quotient below
// 2^63; 0 where div is too small for one of 64 bits.
func (w wide) dividedBy(div uint64) uint64 {
	if w.hi >= div {
		return 0
	}
	quo, rem := bits.Div64(w.hi, w.lo, div)
	if rem >= div-rem {
		quo++
	}
	return quo
}
