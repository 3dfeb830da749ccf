// Package trig is the one place for functions whose results no fraction holds:
// roots, logarithms and powers. A fraction goes in and a fraction comes out, a
// whole number of Quantum or of a decimal that the caller names; nothing between
// is floating point of the machine, so that the result is the same on every one of
// them.
package trig

import (
	"fmt"
	"math/big"
)

// perOne is how many quanta make one.
const perOne = 1_000_000_000

// Quantum is the step of every result: 1e-9. The value is the caller's own.
func Quantum() *big.Rat { return big.NewRat(1, perOne) }

// Quantise is x to the nearest whole number of Quantum, halves away from zero.
func Quantise(x *big.Rat) *big.Rat {
	// floor((2 |x| 10^9 + 1) / 2), as one division of integers.
	n := new(big.Int).Abs(x.Num())
	n.Mul(n, big.NewInt(2*perOne)).Add(n, x.Denom())
	n.Quo(n, new(big.Int).Lsh(x.Denom(), 1))
	if x.Sign() < 0 {
		n.Neg(n)
	}
	return new(big.Rat).SetFrac(n, big.NewInt(perOne))
}

// Sqrt is the square root of x, correctly rounded to the nearest Quantum, halves
// up. It is an error where x is negative.
func Sqrt(x *big.Rat) (*big.Rat, error) {
	if x.Sign() < 0 {
		return nil, fmt.Errorf("the square root of %s; expected 0 or more", short(x))
	}
	// The floor of twice the root in quanta, all in integers; its half, rounded
	// up, is the root rounded.
	n := new(big.Int).Mul(x.Num(), big.NewInt(4*perOne))
	n.Mul(n, big.NewInt(perOne))
	n.Quo(n, x.Denom())
	n.Sqrt(n).Add(n, big.NewInt(1)).Rsh(n, 1)
	return new(big.Rat).SetFrac(n, big.NewInt(perOne)), nil
}

// Root is the square root of num/den in units of the last of a number of decimals,
// correctly rounded, halves up. Neither has to be in lowest terms. It is an error
// where the quotient is negative or den is 0.
func Root(num, den *big.Int, decimals int) (*big.Int, error) {
	if den.Sign() == 0 || num.Sign()*den.Sign() < 0 {
		return nil, fmt.Errorf("the square root of %v/%v; expected 0 or more", num, den)
	}
	unit := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)
	// As in Sqrt: the floor of twice the root, then its half rounded up.
	n := new(big.Int).Mul(num, unit)
	n.Mul(n, unit).Lsh(n, 2).Quo(n, den)
	n.Sqrt(n).Add(n, big.NewInt(1))
	return n.Rsh(n, 1), nil
}

// Pow32 is x to the power of 1.5, the root of its cube, correctly rounded to the
// nearest Quantum, halves up. It is an error where x is negative.
func Pow32(x *big.Rat) (*big.Rat, error) {
	if x.Sign() < 0 {
		return nil, fmt.Errorf("the power 1.5 of %s; expected 0 or more", short(x))
	}
	cube := new(big.Rat).Mul(x, x)
	return Sqrt(cube.Mul(cube, x))
}

// short is x for an error message.
func short(x *big.Rat) string { return x.FloatString(9) }
