package measure

import "math"

// Point is a place in plan: how far east and how far north of the site's
// origin.
type Point struct{ East, North Length }

// Sub is the step from q to p.
func (p Point) Sub(q Point) Point { return Point{p.East - q.East, p.North - q.North} }

// Add is p moved by the step q.
func (p Point) Add(q Point) Point { return Point{p.East + q.East, p.North + q.North} }

// DistanceTo is the straight distance from p to q in plan, to the nearest
// nanometre.
func (p Point) DistanceTo(q Point) Length { return Hypot(q.East-p.East, q.North-p.North) }

func (p Point) String() string { return "E " + p.East.String() + ", N " + p.North.String() }

// Lerp is the point num/den of the way from a to b. The step from a is rounded
// to the nearest nanometre in each coordinate, halves away from zero, so that
// moving or quarter-turning both points moves or turns the result alike. A den
// of zero gives a.
func Lerp(a, b Point, num, den Length) Point {
	step := b.Sub(a)
	east, _ := MulDivRound(int64(step.East), int64(num), int64(den))
	north, _ := MulDivRound(int64(step.North), int64(num), int64(den))
	return a.Add(Point{Length(east), Length(north)})
}

// Hypot is the length of the diagonal over dx and dy to the nearest nanometre,
// by integer square root. Past the largest Length it is that.
func Hypot(dx, dy Length) Length {
	x, y := magnitude(int64(dx)), magnitude(int64(dy))
	root := product(x, x).plus(product(y, y)).sqrtRound()
	return Length(min(root, math.MaxInt64))
}
