// Package rational is arithmetic on fractions that rounds nothing. Nearly every figure
// of a take-off is a small fraction, so a Number is two words of the machine as
// long as they hold it and a big.Rat beyond that: the result is the same, and most
// of them make no room in memory.
package rational

import (
	"cmp"
	"math"
	"math/big"
	"math/bits"
	"strconv"
)

// Number is a fraction. It is a value: no method changes it, and it may be copied.
// The zero Number is 0.
type Number struct {
	// In lowest terms; |num| and den are at most math.MaxInt64, and a den of 0
	// stands for 1.
	num, den int64
	// Where those do not hold it: the number, never changed.
	big *big.Rat
}

// Int is n.
func Int[I ~int | ~int64](n I) Number { return Of(n, 1) }

// Of is a / b. It panics where b is 0.
func Of[I ~int | ~int64](a, b I) Number {
	n, d := int64(a), int64(b)
	switch {
	case d == 0:
		panic("rational: division by zero")
	case n == math.MinInt64 || d == math.MinInt64:
		return own(big.NewRat(n, d))
	case d < 0:
		n, d = -n, -d
	}
	if d != 1 {
		low := gcd(n, d)
		n, d = n/low, d/low
	}
	return Number{num: n, den: d}
}

// FromBig is r, which may change afterwards.
func FromBig(r *big.Rat) Number { return own(new(big.Rat).Set(r)) }

// own is r, which does not change any more.
func own(r *big.Rat) Number {
	if n, d := r.Num(), r.Denom(); n.IsInt64() && d.IsInt64() && n.Int64() != math.MinInt64 {
		return Number{num: n.Int64(), den: d.Int64()}
	}
	return Number{big: r}
}

// Big is the number as a big.Rat of the caller's own.
func (a Number) Big() *big.Rat {
	if a.big != nil {
		return new(big.Rat).Set(a.big)
	}
	return big.NewRat(a.num, a.denominator())
}

// large is Big for reading only.
func (a Number) large() *big.Rat {
	if a.big != nil {
		return a.big
	}
	return a.Big()
}

func (a Number) denominator() int64 { return max(a.den, 1) }

// Sign is -1, 0 or 1.
func (a Number) Sign() int {
	switch {
	case a.big != nil:
		return a.big.Sign()
	case a.num < 0:
		return -1
	case a.num > 0:
		return 1
	default:
		return 0
	}
}

// Cmp is -1 where a < b, 0 where they are equal and 1 where a > b.
func (a Number) Cmp(b Number) int {
	if a.big != nil || b.big != nil {
		return a.large().Cmp(b.large())
	}
	ad, bd := a.denominator(), b.denominator()
	if ad == bd || a.Sign() != b.Sign() {
		return cmp.Compare(a.num, b.num)
	}
	ah, al := bits.Mul64(magnitude(a.num), uint64(bd))
	bh, bl := bits.Mul64(magnitude(b.num), uint64(ad))
	return a.Sign() * cmp.Or(cmp.Compare(ah, bh), cmp.Compare(al, bl))
}

// IsInt reports whether the number is whole.
func (a Number) IsInt() bool { return a.big == nil && a.den <= 1 || a.big != nil && a.big.IsInt() }

// Int64 is a whole number; false where the number is not whole, or too large.
func (a Number) Int64() (n int64, ok bool) {
	switch {
	case a.big == nil:
		return a.num, a.den <= 1
	case a.big.IsInt():
		return a.big.Num().Int64(), a.big.Num().IsInt64()
	default:
		return 0, false
	}
}

// TenTo is 10^n, for an n of 0 or more.
func TenTo(n int) Number {
	if n < len(tens) {
		return tens[n]
	}
	return own(new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)))
}

// tens are the powers of ten that a word holds.
var tens = func() (all [19]Number) {
	all[0] = Int(1)
	for i := range len(all) - 1 {
		all[i+1] = all[i].Mul(Int(10))
	}
	return all
}()

// Millionths are the number, which is not negative, without what is left of a
// millionth, and whether nothing is; false where they are too many for a word.
func (a Number) Millionths() (n uint64, exact, ok bool) {
	if a.big != nil || a.num < 0 {
		return 0, false, false
	}
	hi, lo := bits.Mul64(uint64(a.num), 1_000_000)
	if hi >= uint64(a.denominator()) {
		return 0, false, false
	}
	n, rest := bits.Div64(hi, lo, uint64(a.denominator()))
	return n, rest == 0, true
}

// String is a whole number's digits, and any other as a fraction in lowest terms:
// "7", "-3/4".
func (a Number) String() string {
	switch {
	case a.big != nil:
		return a.big.RatString()
	case a.IsInt():
		return strconv.FormatInt(a.num, 10)
	default:
		return strconv.FormatInt(a.num, 10) + "/" + strconv.FormatInt(a.den, 10)
	}
}

// Fixed is the number with so many decimals, halves away from zero: "2.08".
func (a Number) Fixed(places int) string { return a.large().FloatString(places) }
