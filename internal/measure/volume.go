package measure

import (
	"math"
	"math/big"

	"wattle/internal/rational"
)

// Volume is a volume in ten-thousandths of a cubic foot, the unit a hole's
// concrete is rounded to (half up), so that sums over holes are exact.
type Volume int64

// CubicFoot is one cubic foot.
const CubicFoot Volume = 10_000

// pi to twenty decimals: a fixed rational, so that a count made from a round
// hole is the same on every machine. It is short of the true value by less than
// 3e-21.
var pi = rational.FromBig(new(big.Rat).SetFrac(bigInt("314159265358979323846"), bigInt("100000000000000000000")))

// Pi is the ratio of a circle's circumference to its diameter as every count
// uses it: 314159265358979323846 / 10^20.
func Pi() rational.Number { return pi }

// BoxFt3 is a times b times c in cubic feet, exactly.
func BoxFt3(a, b, c Length) rational.Number {
	return rational.Of(a, Foot).Mul(rational.Of(b, Foot)).Mul(rational.Of(c, Foot))
}

// VolumeFromFt3 is r cubic feet to the nearest ten-thousandth, halves up.
// Past the range of Volume (9.2e14 ft3) it is the nearest end of the range.
func VolumeFromFt3(r rational.Number) Volume {
	n := r.HalfUp(4).Mul(rational.Int(CubicFoot))
	switch v, ok := n.Int64(); {
	case ok:
		return Volume(v)
	case n.Sign() < 0:
		return math.MinInt64
	default:
		return math.MaxInt64
	}
}

// Ft3 is the volume in cubic feet, exactly.
func (v Volume) Ft3() rational.Number { return rational.Of(v, CubicFoot) }

// String is the volume in cubic feet with all its four decimals: "1.7508 ft3".
func (v Volume) String() string { return fixedText(int64(v), int64(CubicFoot), 4) + " ft3" }

// CubicMetres is the volume to the nearest 0.0001 m3, halves away from zero:
// "0.0496 m3". A cubic foot is 0.028316846592 m3, exactly.
func (v Volume) CubicMetres() string {
	tenThousandths, _ := MulDivRound(int64(v), 28_316_846_592, 1_000_000_000_000)
	return fixedText(tenThousandths, 10_000, 4) + " m3"
}

func bigInt(digits string) *big.Int {
	n, ok := new(big.Int).SetString(digits, 10)
	if !ok {
		panic("measure: not an integer: " + digits)
	}
	return n
}
