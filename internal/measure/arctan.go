package measure

import "math/bits"

// arctanScale is the parts of a nanodegree that the table counts in.
const arctanScale = 1 << 26

// arctanTable[i] is the arc tangent of 2^-(i+1), in 2^-26 nanodegrees, to the
// nearest. A test works each entry out again from the series.
var arctanTable = [...]int64{
	1782750406595566705, 941956353959966413, 478151753156227282,
	240003737190222231, 120118867580942744, 60074090774930397,
	30038878516753619, 15019668431004172, 7509862863063997,
	3754935012507973, 1877467953876944, 938734032891372,
	469367023439799, 234683512594164, 117341756406365,
	58670878216843, 29335439110129, 14667719555278,
	7333859777666, 3666929888836, 1833464944418,
	916732472209, 458366236105, 229183118052,
	114591559026, 57295779513, 28647889757,
	14323944878, 7161972439, 3580986220,
	1790493110, 895246555, 447623277,
	223811639, 111905819, 55952910,
	27976455, 13988227, 6994114,
	3497057,
}

// direction is the angle of the vector (x, y), given as magnitudes and signs,
// from 0 up to but not including 360 degrees; (0, 0) is 0.
//
// The vector is folded into the first half quadrant, where the angle comes from
// shifts and additions only (Volder's CORDIC), and unfolded again. So mirror
// images and quarter turns are exact, multiples of 45 degrees are exact, and
// anything else is within one nanodegree of the truth: half a nanodegree of
// rounding, a tenth for the last step of the table.
func direction(x, y wide, xNegative, yNegative bool) Angle {
	var a Angle
	switch {
	case y.isZero():
		a = 0
	case x.isZero():
		a = 90 * Degree
	case x == y:
		a = 45 * Degree
	case y.less(x):
		a = arctan(y, x)
	default:
		a = 90*Degree - arctan(x, y)
	}
	if xNegative {
		a = 180*Degree - a
	}
	if yNegative && a != 0 {
		a = 360*Degree - a
	}
	return a
}

// arctan is the arc tangent of y/x for 0 < y < x, to the nearest nanodegree.
func arctan(y, x wide) Angle {
	_, _, sum := foldOntoAxis(y, x)
	return Angle((sum + arctanScale/2) >> bits.TrailingZeros64(arctanScale))
}

// foldOntoAxis turns the vector (x, y), 0 < y < x, by the angles of the table
// until it lies along the x axis, and gives what is left of it and the sum of
// the turns. The angle of (u, v) itself is at most the last of the table.
func foldOntoAxis(y, x wide) (u, v, sum int64) {
	// 60 bits leave room for the growth of 1.647 x sqrt 2 below.
	const width = 60
	if n := x.bitLen(); n > width {
		x, y = x.shiftRight(uint(n-width)), y.shiftRight(uint(n-width))
	} else {
		x, y = x.shiftLeft(uint(width-n)), y.shiftLeft(uint(width-n))
	}
	u, v = int64(x.lo), int64(y.lo)
	for i, step := range arctanTable {
		n := uint(i + 1)
		switch {
		case v > 0:
			u, v, sum = u+v>>n, v-u>>n, sum+step
		case v < 0:
			u, v, sum = u-v>>n, v+u>>n, sum-step
		}
	}
	return u, v, sum
}
