package measure

import (
	"fmt"
	"strings"
)

// Angle is a plane angle in nanodegrees (1e-9 degree). Whole degrees, minutes
// of arc only in part (1' = 16,666,666.67 nanodegrees).
//
// An angle worked out from coordinates is quantised to a whole nanodegree
// before anything is decided from it, so a threshold such as "a corner turns by
// at least 10 degrees" reads the quantised value with a plain >=.
type Angle int64

// Degree is one degree of arc.
const Degree Angle = 1_000_000_000

// Abs is the magnitude of a.
func (a Angle) Abs() Angle {
	if a < 0 {
		return -a
	}
	return a
}

// Direction is the angle of the vector (dx, dy) counterclockwise from east, in
// [0, 360) degrees: exact at multiples of 45 degrees, elsewhere within one
// nanodegree. The zero vector has direction 0.
func Direction(dx, dy Length) Angle {
	return direction(
		wide{0, magnitude(int64(dx))}, wide{0, magnitude(int64(dy))},
		dx < 0, dy < 0)
}

// Turn is how far the way a, b, c turns at b, in (-180, 180] degrees: left is
// positive, straight on is 0, straight back is 180. It is exact at multiples of
// 45 degrees and elsewhere within one nanodegree, does not change when the
// points are moved or quarter-turned, and changes only its sign (180 apart)
// when they are mirrored or walked backwards. Where two neighbouring points
// coincide it is 0.
func Turn(a, b, c Point) Angle {
	u, v := b.Sub(a), c.Sub(b)
	dot, back := sumOfProducts(u.East, v.East, u.North, v.North)
	cross, right := sumOfProducts(u.East, v.North, -u.North, v.East)
	turn := direction(dot, cross, back, right)
	if turn > 180*Degree {
		turn -= 360 * Degree
	}
	return turn
}

// sumOfProducts is |ab + cd| and whether the sum is negative.
func sumOfProducts(a, b, c, d Length) (sum wide, negative bool) {
	p, pNegative := product(magnitude(int64(a)), magnitude(int64(b))), (a < 0) != (b < 0)
	q, qNegative := product(magnitude(int64(c)), magnitude(int64(d))), (c < 0) != (d < 0)
	switch {
	case pNegative == qNegative:
		sum, negative = p.plus(q), pNegative
	case p.less(q):
		sum, negative = q.minus(p), qNegative
	default:
		sum, negative = p.minus(q), pNegative
	}
	return sum, negative && !sum.isZero()
}

// ParseAngle reads degrees with up to nine decimals: "10 deg", "-12.5°",
// "30 degrees". The unit is required; more than one whole turn either way is
// an error.
func ParseAngle(s string) (Angle, error) {
	fail := func(format string, args ...any) (Angle, error) {
		return 0, fmt.Errorf("%s is not an angle: %s", quoted(s), fmt.Sprintf(format, args...))
	}
	r := reader{rest: strings.TrimSpace(s)}
	negative := r.minus()
	n, err := r.number()
	if err != nil {
		return fail("%v", err)
	}
	switch unit := strings.TrimSpace(r.rest); unit {
	case "deg", "degree", "degrees", "°":
	case "":
		return fail(`it needs a unit, as in "10 deg"`)
	default:
		return fail(`expected "deg" after the number, found %s`, quoted(unit))
	}
	mag, exact, ok := n.times(uint64(Degree))
	switch {
	case !ok || mag > uint64(360*Degree):
		return fail("expected at most 360 deg")
	case !exact:
		return fail("it is no whole number of nanodegrees (nine decimals)")
	}
	a, _ := signed(negative, mag)
	return Angle(a), nil
}

// String is the angle in exact decimal degrees, as ParseAngle reads it:
// "10 deg", "0.333333333 deg".
func (a Angle) String() string { return decimalText(int64(a), int64(Degree), 9) + " deg" }
