package check

import (
	"math/big"

	"wattle/internal/measure"
	"wattle/internal/timber"
)

// RectangleModulus is the section modulus b d^2 / 6 in cubic inches, exactly; d
// lies along the force [WD-1].
func RectangleModulus(b, d measure.Length) *big.Rat {
	return product(inches(b), inches(d), inches(d), big.NewRat(1, 6))
}

// SawnModulus is that of a dressed size with its wider side along the force; 0
// for a size that is not known.
func SawnModulus(size timber.Size) *big.Rat {
	thickness, width := size.Dressed()
	return RectangleModulus(min(thickness, width), max(thickness, width))
}

// TubeModulus is that of a square tube in cubic inches, its corners taken as
// sharp: (D^4 - d^4) / (6 D), d = D - 2 wall, exactly (from memory). It is 0 where
// D is not positive.
func TubeModulus(side, wall measure.Length) *big.Rat {
	if side <= 0 {
		return new(big.Rat)
	}
	return product(hollow(side, wall), new(big.Rat).Inv(product(big.NewRat(6, 1), inches(side))))
}

// hollow is D^4 - d^4.
func hollow(outside, wall measure.Length) *big.Rat {
	outer, inner := inches(outside), inches(max(outside-2*wall, 0))
	return new(big.Rat).Sub(product(outer, outer, outer, outer), product(inner, inner, inner, inner))
}

// PipeModulus is that of a round pipe in cubic inches: pi (D^4 - d^4) / (32 D),
// d = D - 2 wall, exact for measure.Pi (from memory). It is 0 where D is not
// positive.
func PipeModulus(outside, wall measure.Length) *big.Rat {
	if outside <= 0 {
		return new(big.Rat)
	}
	return product(measure.Pi().Big(), hollow(outside, wall), new(big.Rat).Inv(product(big.NewRat(32, 1), inches(outside))))
}
