// Package steel knows steel fence posts and rails: what round pipe and square
// tube weigh, and which walls go with which diameters.
package steel

import (
	"wattle/internal/measure"
	"wattle/internal/rational"
)

// density is what a cubic foot of steel weighs, in pounds (common practice).
//
// A foot of pipe has pi (D - t) t square inches of section, D and t in inches;
// at 490/1728 lb to the cubic inch it weighs pi x 12 x 490/1728 = 10.6901 times
// (D - t) t pounds, which is where the trade's 10.69 comes from [AS-6].
const density = 490

// PoundsPerFoot is the weight of one foot of round pipe of an outside diameter
// and a wall: 10.69 (od - wall) wall, in inches, exactly [AS-6]. Zinc is not in
// it. A wall of half the diameter is a solid bar; it is 0 for a wall of 0 or
// less, or of more than that.
func PoundsPerFoot(od, wall measure.Length) rational.Number {
	return perInch2(od, wall, rational.Of(1069, 100))
}

// SquarePoundsPerFoot is the weight of one foot of square tube of an outside
// side and a wall, exactly: the section 4 (side - wall) wall at 490 lb/ft3
// (common practice). Its corners are taken as sharp; those of real tube are
// rounded, so it weighs a few percent less. The limits are those of
// PoundsPerFoot.
func SquarePoundsPerFoot(side, wall measure.Length) rational.Number {
	return perInch2(side, wall, rational.Of(4*density, 144))
}

// perInch2 is factor x (size - wall) x wall, in inches.
func perInch2(size, wall measure.Length, factor rational.Number) rational.Number {
	if wall <= 0 || wall > size/2 {
		return rational.Number{}
	}
	inches := func(l measure.Length) rational.Number { return rational.Of(l, measure.Inch) }
	return inches(size - wall).Mul(inches(wall)).Mul(factor)
}
