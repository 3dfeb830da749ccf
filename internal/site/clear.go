package site

import (
	"math/big"

	"wattle/internal/measure"
)

// What lies nearer than c to a path is the union of the open discs of radius c
// around its vertices and of the strips of half width c beside its sides. A leg
// meets each of them in one interval. It is worked out exactly, in integers
// wider than 128 bits, and rounded outward to a nanometre.

// track is a leg as the points from + d u/length, u from 0 to length.
type track struct {
	from, d measure.Point
	length  measure.Length
}

func trackOf(l Leg) track { return track{l.From, l.To.Sub(l.From), l.Length()} }

// nearVertex is the interval of u where the leg is nearer than c to p. With
// w = from - p it lies between the roots
//
//	length (-w.d -+ sqrt(d.d c^2 - (w x d)^2)) / d.d
func (t track) nearVertex(p measure.Point, c measure.Length) span {
	w := t.from.Sub(p)
	dd, wd, wx := dot(t.d, t.d), dot(w, t.d), cross(w, t.d)
	root := product(dd, area(c, c))
	if root.Sub(root, product(wx, wx)).Sign() <= 0 {
		return span{} // it passes by, or touches
	}
	ceilSqrt(root)
	s := span{to: t.length}
	wd.Neg(wd)
	s.keep(t.length, difference(wd, root), root.Add(wd, root), dd)
	return s
}

// besideSide is the interval of u where the foot of the leg's point lies on the
// side from p to q and is nearer than c to it. With e = q - p and w = from - p
//
//	0 <= w.e + d.e u/length <= e.e    and    |w x e + d x e u/length| < c |e|
func (t track) besideSide(p, q measure.Point, c measure.Length) span {
	e, w := q.Sub(p), t.from.Sub(p)
	ee, we, wx := dot(e, e), dot(w, e), cross(w, e)
	s := span{to: t.length}
	we.Neg(we)
	s.keep(t.length, we, new(big.Int).Add(ee, we), dot(t.d, e))

	slope := cross(t.d, e)
	reach := product(ee, area(c, c))
	if slope.Sign() == 0 { // parallel
		if product(wx, wx).Cmp(reach) >= 0 {
			return span{}
		}
		return s
	}
	// The leg may run so nearly along the side that a unit in the last place of
	// the root is many stations; 64 binary places more leave less than one.
	const places = 64
	ceilSqrt(reach.Lsh(reach, 2*places))
	wx.Lsh(wx.Neg(wx), places)
	s.keep(t.length, difference(wx, reach), reach.Add(wx, reach), slope.Lsh(slope, places))
	return s
}

// span is an interval of a leg; there is none where to is not above from.
type span struct{ from, to measure.Length }

// keep cuts the span to where low <= slope u/length <= high, rounded outward.
func (s *span) keep(length measure.Length, low, high, slope *big.Int) {
	switch slope.Sign() {
	case 0:
		if low.Sign() > 0 || high.Sign() < 0 {
			s.to = s.from
		}
		return
	case -1:
		low, high, slope = new(big.Int).Neg(high), new(big.Int).Neg(low), new(big.Int).Neg(slope)
	}
	l := big.NewInt(int64(length))
	from := product(low, l)
	from.Div(from, slope) // floor, as slope is positive
	to := product(high, l)
	to.Neg(to.Div(to.Neg(to), slope)) // ceiling
	if from.Cmp(big.NewInt(int64(s.from))) > 0 {
		s.from = clamp(from, s.to)
	}
	if to.Cmp(big.NewInt(int64(s.to))) < 0 {
		s.to = clamp(to, s.to)
	}
}

// clamp is n within 0 and most.
func clamp(n *big.Int, most measure.Length) measure.Length {
	switch {
	case n.Sign() <= 0:
		return 0
	case !n.IsInt64():
		return most
	}
	return min(measure.Length(n.Int64()), most)
}

// ceilSqrt makes n the least integer whose square is n or more.
func ceilSqrt(n *big.Int) {
	square := new(big.Int).Set(n)
	n.Sqrt(n)
	if product(n, n).Cmp(square) < 0 {
		n.Add(n, big.NewInt(1))
	}
}

func product(a, b *big.Int) *big.Int { return new(big.Int).Mul(a, b) }

func difference(a, b *big.Int) *big.Int { return new(big.Int).Sub(a, b) }

// area is a times b in full.
func area(a, b measure.Length) *big.Int {
	return product(big.NewInt(int64(a)), big.NewInt(int64(b)))
}

// dot and cross are the products of two steps in plan.
func dot(a, b measure.Point) *big.Int {
	sum := area(a.East, b.East)
	return sum.Add(sum, area(a.North, b.North))
}

func cross(a, b measure.Point) *big.Int {
	return difference(area(a.East, b.North), area(a.North, b.East))
}
