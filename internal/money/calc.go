package money

import (
	"errors"
	"math"
	"math/big"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/rational"
)

// QuoScale is the number of decimals of a quotient.
const QuoScale = 8

// Calc works formulas out on decimals. Its results are exact or it has an
// error: the first one sticks, every later result is 0, and Err tells at the
// end. The zero Calc is ready.
//
//	var c money.Calc
//	price := c.Add(cost, c.Percent(cost, markup))
//	if err := c.Err(); err != nil { ... }
//
// A decimal holds 19 digits. The decimal library drops decimals that do not
// fit; Calc makes that an error (Exhausted, AMOUNT_OUT_OF_RANGE) by asking for
// every decimal of the exact result. The quotient is the one result that may be
// inexact; see Quo.
type Calc struct{ err error }

// Err is the first error, or nil.
func (c *Calc) Err() error { return c.err }

// Add is a + b.
func (c *Calc) Add(a, b decimal.Decimal) decimal.Decimal {
	return c.keep(a.AddExact(b, max(a.Scale(), b.Scale())))
}

// Sub is a - b.
func (c *Calc) Sub(a, b decimal.Decimal) decimal.Decimal {
	return c.keep(a.SubExact(b, max(a.Scale(), b.Scale())))
}

// Sum is the sum of all of them, 0 for none.
func (c *Calc) Sum(all ...decimal.Decimal) decimal.Decimal {
	var sum decimal.Decimal
	for _, d := range all {
		sum = c.Add(sum, d)
	}
	return sum
}

// Mul is a times b. Zeros at the end of a decimal fraction are dropped first,
// so they do not count against the 19 digits.
func (c *Calc) Mul(a, b decimal.Decimal) decimal.Decimal {
	a, b = a.Trim(0), b.Trim(0)
	scale := a.Scale() + b.Scale()
	if scale > decimal.MaxScale {
		return c.keep(decimal.Decimal{}, errors.New("the product has more than 19 decimals"))
	}
	return c.keep(a.MulExact(b, scale))
}

// MulInt is a times n.
func (c *Calc) MulInt(a decimal.Decimal, n int64) decimal.Decimal {
	return c.Mul(a, c.Int(n))
}

// Int is n as a decimal.
func (c *Calc) Int(n int64) decimal.Decimal { return c.keep(decimal.New(n, 0)) }

// Percent is p per cent of a, exactly.
func (c *Calc) Percent(a, p decimal.Decimal) decimal.Decimal {
	return c.Mul(c.Mul(a, p), hundredth)
}

// Quo is a / b to QuoScale decimals, made for being rounded again: digits past
// the last are cut off, but where that loses anything and the last digit is 0
// or 5 it is raised by one. So rounding the result to fewer decimals, by any
// rule, gives what rounding the exact quotient would. Zeros at the end are
// dropped. A quotient under 92,233,720,368 always fits. Dividing by zero is an
// error (Invalid, DIVISION_BY_ZERO).
func (c *Calc) Quo(a, b decimal.Decimal) decimal.Decimal {
	if b.IsZero() {
		return c.fail(fault.New(fault.Invalid, "DIVISION_BY_ZERO", "%v cannot be divided by zero", a))
	}
	n, d := coefficient(a), coefficient(b)
	n.Mul(n, powerOfTen(QuoScale+b.Scale()))
	d.Mul(d, powerOfTen(a.Scale()))
	q, r := n.QuoRem(n, d, new(big.Int))
	if r.Sign() != 0 && new(big.Int).Rem(q, big.NewInt(5)).Sign() == 0 {
		q.Add(q, big.NewInt(1))
	}
	scale := QuoScale
	for ten := big.NewInt(10); scale > 0; scale-- {
		shorter, rest := new(big.Int).QuoRem(q, ten, new(big.Int))
		if rest.Sign() != 0 {
			break
		}
		q = shorter
	}
	if !q.IsInt64() {
		return c.keep(decimal.Decimal{}, errors.New("the quotient has too many digits"))
	}
	quo := c.keep(decimal.New(q.Int64(), scale))
	if a.IsNeg() != b.IsNeg() {
		return quo.Neg()
	}
	return quo
}

func (c *Calc) keep(d decimal.Decimal, err error) decimal.Decimal {
	if err != nil {
		return c.fail(fault.Wrap(err, fault.Exhausted, "AMOUNT_OUT_OF_RANGE",
			"an amount needs more than the %d digits a decimal holds", decimal.MaxPrec))
	}
	if c.err != nil {
		return decimal.Decimal{}
	}
	return d
}

func (c *Calc) fail(err *fault.Error) decimal.Decimal {
	if c.err == nil {
		c.err = err
	}
	return decimal.Decimal{}
}

var (
	hundred   = decimal.MustNew(100, 0)
	hundredth = decimal.MustNew(1, 2)
)

// coefficient is the magnitude of d in units of its last decimal.
func coefficient(d decimal.Decimal) *big.Int { return new(big.Int).SetUint64(d.Coef()) }

func powerOfTen(n int) *big.Int {
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)
}

// Rational is d as a fraction, exactly.
func Rational(d decimal.Decimal) rational.Number {
	if d.Coef() > math.MaxInt64 {
		return rational.FromBig(Rat(d))
	}
	n := rational.Int(int64(d.Coef())).Quo(rational.TenTo(d.Scale()))
	if d.IsNeg() {
		return n.Neg()
	}
	return n
}

// Rat is Rational for those who go on in big.Rat.
func Rat(d decimal.Decimal) *big.Rat {
	n := coefficient(d)
	if d.IsNeg() {
		n.Neg(n)
	}
	if d.Scale() == 0 {
		return new(big.Rat).SetInt(n)
	}
	return new(big.Rat).SetFrac(n, powerOfTen(d.Scale()))
}

// Rat is FromRat without its say on whether the decimal is exact.
func (c *Calc) Rat(r *big.Rat, scale int) decimal.Decimal {
	d, _, err := FromRat(r, scale)
	if err != nil && c.err == nil {
		c.err = err
	}
	if c.err != nil {
		return decimal.Decimal{}
	}
	return d
}

// FromRat is a fraction as a decimal of at most scale decimals, and whether it
// is exactly that; otherwise it is rounded half up, away from zero. More digits
// than a decimal holds are an error (Exhausted, AMOUNT_OUT_OF_RANGE).
func FromRat(r *big.Rat, scale int) (d decimal.Decimal, exact bool, err error) {
	n := new(big.Int).Mul(r.Num(), powerOfTen(scale))
	q, rest := n.QuoRem(n, r.Denom(), new(big.Int))
	exact = rest.Sign() == 0
	if rest.Lsh(rest.Abs(rest), 1).Cmp(r.Denom()) >= 0 {
		q.Add(q, big.NewInt(int64(r.Sign())))
	}
	for ten := big.NewInt(10); scale > 0; scale-- {
		shorter, last := new(big.Int).QuoRem(q, ten, new(big.Int))
		if last.Sign() != 0 {
			break
		}
		q = shorter
	}
	if !q.IsInt64() {
		err = errors.New("the fraction has too many digits")
	} else {
		d, err = decimal.New(q.Int64(), scale)
	}
	var c Calc
	return c.keep(d, err), exact, c.Err()
}
