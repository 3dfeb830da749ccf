package measure

import "fmt"

// Arc is a circular arc between two points. The zero Arc is no arc; NewArc
// makes one.
type Arc struct {
	from, step Point // the chord of the whole
	out        Point // the step turned toward the side the arc bulges to
	half       fine  // half the central angle
	sin, cos   int64 // of half
}

// NewArc is the arc of a radius from one point to another that turns left, or
// else right: the one of at most half a circle, or where major the other one.
//
// It is an error where the points coincide, where the radius is less than half
// their distance, and where anything passes MaxLength.
func NewArc(from, to Point, radius Length, left, major bool) (Arc, error) {
	for _, l := range []Length{from.East, from.North, to.East, to.North} {
		if l < -MaxLength || l > MaxLength {
			return Arc{}, fmt.Errorf("an end of the arc is at %s; expected at most %s", l.Imperial(), MaxLength.Imperial())
		}
	}
	step := to.Sub(from)
	diameter := uint64(2 * radius)
	chord, _ := sumOfProducts(step.East, step.East, step.North, step.North)
	whole := product(diameter, diameter)
	switch {
	case radius <= 0 || radius > MaxLength:
		return Arc{}, fmt.Errorf("a radius of %s; expected more than 0 and at most %s", radius.Imperial(), MaxLength.Imperial())
	case chord.isZero():
		return Arc{}, fmt.Errorf("the arc ends where it starts; expected two points")
	case whole.less(chord):
		apart := Hypot(step.East, step.North)
		if (2 * radius).Imperial() == apart.Imperial() {
			return Arc{}, fmt.Errorf("a radius of %s is less than half of the %s between the ends of the arc", radius.Inches(8), apart.Inches(8))
		}
		return Arc{}, fmt.Errorf("a radius of %s is less than half of the %s between the ends of the arc", radius.Imperial(), apart.Imperial())
	}
	// The sine of the half angle is chord : diameter. Both squares are brought
	// up to the full width, so that their roots are good to 63 bits.
	rest := whole.minus(chord)
	room := uint(127-whole.bitLen()) / 2 * 2
	a := Arc{
		from: from, step: step, out: Point{step.North, -step.East},
		half: arctanFine(wide{0, chord.shiftLeft(room).sqrtRound()}, wide{0, rest.shiftLeft(room).sqrtRound()}),
	}
	if !left {
		a.out = Point{-step.North, step.East}
	}
	if major {
		a.half = fineHalf - a.half
	}
	a.sin, a.cos = sinCos(a.half)
	return a, nil
}

// Point is the point k/n of the way along the arc, 0 < k < n, to the nearest
// nanometre; out of that it is the nearer end. It is within one nanometre of
// the truth each way where the arc is at most half a circle; beyond, as long as
// the square of the radius over the distance of the ends is below 1,000 km.
//
// It is reckoned from the nearer end, so that the arc walked backwards has the
// same points; the one in the middle may be a nanometre off.
func (a Arc) Point(k, n int) Point {
	switch {
	case k <= 0:
		return a.from
	case k >= n:
		return a.from.Add(a.step)
	case k > n-k:
		back := a
		back.from, back.step = a.from.Add(a.step), Point{-a.step.East, -a.step.North}
		return back.Point(n-k, n)
	}
	// Seen from the centre, the point stands at an angle before the middle of
	// the arc.
	angle := product(uint64(a.half), uint64(n-2*k)).dividedBy(uint64(n))
	sin, cos := sinCos(fine(angle))
	// In parts of the whole chord, whose half is the sine of a.half: along it
	// a.sin - sin, out of it cos - a.cos.
	along, out := Length(a.sin-sin), Length(cos-a.cos)
	return a.from.Add(Point{
		East:  a.part(a.step.East, along, a.out.East, out),
		North: a.part(a.step.North, along, a.out.North, out),
	})
}

// Tangents are the directions of travel at the arc's start and end, each from 0
// up to but not including 360 degrees.
func (a Arc) Tangents() (start, end Angle) {
	half := Angle((a.half + arctanScale/2) / arctanScale)
	if (a.out == Point{-a.step.North, a.step.East}) { // it turns right
		half = -half
	}
	along := Direction(a.step.East, a.step.North)
	whole := 360 * Degree
	return (along - half + whole) % whole, (along + half + whole) % whole
}

// part is (a b + c d) / (2 sin half), to the nearest nanometre.
func (a Arc) part(x, along, y, out Length) Length {
	sum, negative := sumOfProducts(x, along, y, out)
	v, _ := signed(negative, sum.dividedBy(2*uint64(a.sin)))
	return Length(v)
}
