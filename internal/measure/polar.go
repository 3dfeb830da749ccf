package measure

// fine is an angle from 0 to 180 degrees in the table's own parts, 2^-26
// nanodegree (3e-19 of a radian): what points on a wide circle need.
type fine uint64

const (
	// fineRadian is one radian, to the nearest part.
	fineRadian  = 3_845_054_675_117_427_693
	fineQuarter = fine(90*Degree) * arctanScale
	fineHalf    = 2 * fineQuarter

	// sineOne is 1 in the sines and cosines below.
	sineOne = 1 << 61
	// sineStart is what the turns by the whole table stretch to sineOne: the
	// product of 1/sqrt(1 + 4^-i) over the table.
	sineStart = 1_980_224_164_538_623_709
	// sineEighth is the sine of 45 degrees.
	sineEighth = 1_630_477_228_166_597_777
)

// Step is the step of length l in a direction, counterclockwise from east as
// Direction gives it; any number of whole turns may be in it. Up to MaxSiteTotal
// each coordinate is within one nanometre of the truth (half of rounding, the
// rest below 1e-16 of l); at multiples of 90 degrees it is exact. Turning the
// direction by 90 degrees turns the step exactly, negating direction or length
// mirrors it exactly.
func Step(direction Angle, l Length) Point {
	a := direction % (360 * Degree)
	if a < 0 {
		a += 360 * Degree
	}
	below := a > 180*Degree
	if below {
		a = 360*Degree - a
	}
	sin, cos := sinCos(fine(a) * arctanScale)
	if below {
		sin = -sin
	}
	// At most |l|, which fits.
	east, _ := MulDivRound(int64(l), cos, sineOne)
	north, _ := MulDivRound(int64(l), sin, sineOne)
	return Point{Length(east), Length(north)}
}

// sinCos is the sine and cosine of an angle in parts of sineOne, within 1e-16
// of one. Everything is folded into the first half quadrant, so that mirror
// images and quarter turns are exact.
func sinCos(a fine) (sin, cos int64) {
	switch {
	case a > fineQuarter:
		sin, cos = sinCos(fineHalf - a)
		return sin, -cos
	case a > fineQuarter/2:
		cos, sin = sinCos(fineQuarter - a)
		return sin, cos
	case a == fineQuarter/2:
		return sineEighth, sineEighth
	case a == 0:
		return 0, sineOne
	}
	// Volder's CORDIC: turn a vector by the angles of the table, to and fro,
	// until nothing coarser than 2^-40 is left; the rest is a straight line.
	u, v, left := int64(sineStart), int64(0), int64(a)
	for i, step := range arctanTable {
		n := uint(i + 1)
		if left >= 0 {
			u, v, left = u-v>>n, v+u>>n, left-step
		} else {
			u, v, left = u+v>>n, v-u>>n, left+step
		}
	}
	alongU, _ := MulDivRound(v, left, fineRadian)
	alongV, _ := MulDivRound(u, left, fineRadian)
	return max(v+alongV, 0), min(u-alongU, sineOne)
}

// arctanFine is the arc tangent of y/x, from 0 to 90 degrees, to about 1e-16 of
// a radian; 0 where both are 0.
func arctanFine(y, x wide) fine {
	switch {
	case y.isZero():
		return 0
	case x.less(y):
		return fineQuarter - arctanFine(x, y)
	case x == y:
		return fineQuarter / 2
	}
	u, v, sum := foldOntoAxis(y, x)
	rest, _ := MulDivRound(v, fineRadian, u)
	return fine(max(sum+rest, 0))
}
