package measure

import (
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// exact is an integer, or the root of a square, to 400 bits.
func exact(v Length) *big.Float { return new(big.Float).SetPrec(400).SetInt64(int64(v)) }

func calc(op func(z, x, y *big.Float) *big.Float, x, y *big.Float) *big.Float {
	return op(new(big.Float).SetPrec(400), x, y)
}

var plus, minus, times, over = (*big.Float).Add, (*big.Float).Sub, (*big.Float).Mul, (*big.Float).Quo

func exactHypot(x, y *big.Float) *big.Float {
	z := calc(plus, calc(times, x, x), calc(times, y, y))
	return z.Sqrt(z)
}

// offCircle is how far a point is from the circle that the arc lies on, in
// nanometres.
func offCircle(from, to Point, radius Length, left, major bool, p Point) float64 {
	two := exact(2)
	dx, dy := exact(to.East-from.East), exact(to.North-from.North)
	d := exactHypot(dx, dy)
	// The centre is left of the chord where the arc turns left, and on the
	// other side of it where the arc is the larger one.
	r, half := exact(radius), calc(over, d, two)
	h := calc(minus, calc(times, r, r), calc(times, half, half))
	h.Sqrt(h)
	h.Quo(h, d)
	if left == major {
		h.Neg(h)
	}
	cx := calc(minus, calc(plus, exact(from.East), calc(over, dx, two)), calc(times, dy, h))
	cy := calc(plus, calc(plus, exact(from.North), calc(over, dy, two)), calc(times, dx, h))
	off := calc(minus, exactHypot(calc(minus, exact(p.East), cx), calc(minus, exact(p.North), cy)), r)
	f, _ := off.Float64()
	return max(f, -f)
}

func TestArcPoint(t *testing.T) {
	for _, c := range []struct {
		name        string
		to          Point
		radius      Length
		left, major bool
		k, n        int
		want        Point
	}{
		// From the origin, over a half circle of 10 ft: a hexagon's corners.
		{"half circle, left, bulges right", at(20*ft, 0), 10 * ft, true, false, 1, 2, at(10*ft, -10*ft)},
		{"half circle, right, bulges left", at(20*ft, 0), 10 * ft, false, false, 1, 2, at(10*ft, 10*ft)},
		{"a third", at(20*ft, 0), 10 * ft, false, false, 1, 3, at(5*ft, 2_639_645_431)}, // 10 ft sqrt(3)/2
		{"two thirds", at(20*ft, 0), 10 * ft, false, false, 2, 3, at(15*ft, 2_639_645_431)},
		// A quarter of a circle about (0, 10 ft), and the three others.
		{"quarter", at(10*ft, 10*ft), 10 * ft, true, false, 1, 2, at(2_155_261_469, 892_738_531)}, // 10 ft sqrt(1/2)
		{"three quarters, a third of them", at(10*ft, 10*ft), 10 * ft, false, true, 1, 3, at(-10*ft, 10*ft)},
		{"the start", at(10*ft, 10*ft), 10 * ft, true, false, 0, 2, at(0, 0)},
		{"the end", at(10*ft, 10*ft), 10 * ft, true, false, 2, 2, at(10*ft, 10*ft)},
		{"past the end", at(10*ft, 10*ft), 10 * ft, true, false, 5, 2, at(10*ft, 10*ft)},
	} {
		a, err := NewArc(at(0, 0), c.to, c.radius, c.left, c.major)
		if got := a.Point(c.k, c.n); err != nil || got != c.want {
			t.Errorf("%s: %v, %v; want %v", c.name, got, err, c.want)
		}
	}
}

func TestNewArcErrors(t *testing.T) {
	far := MaxLength + 1
	for _, c := range []struct {
		from, to Point
		radius   Length
		want     string
	}{
		{at(0, 0), at(20*ft, 0), 10*ft - 1, "a radius of 119.99999996 in is less than half of the 240 in between the ends of the arc"},
		{at(0, 0), at(20*ft, 5*ft+1), 9*ft + 1, "a radius of 9 ft is less than half of the 20 ft 7-3/8 in between the ends of the arc"},
		{at(0, 0), at(20*ft, 0), 0, "a radius of 0 in; expected more than 0"},
		{at(0, 0), at(20*ft, 0), -10 * ft, "a radius of -10 ft; expected more than 0"},
		{at(0, 0), at(20*ft, 0), far, "expected more than 0 and at most 1640419 ft 11-3/8 in"},
		{at(ft, ft), at(ft, ft), ft, "the arc ends where it starts"},
		{at(far, 0), at(0, 0), ft, "an end of the arc is at 1640419 ft 11-3/8 in; expected"},
		{at(0, 0), at(0, -1<<63), ft, "an end of the arc is at"},
	} {
		if a, err := NewArc(c.from, c.to, c.radius, true, false); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("NewArc(%v, %v, %v) = %v, %v; want an error saying %q", c.from, c.to, c.radius, a, err, c.want)
		}
	}
}

// arcs up to a reach, with radii up to a hundred times what they must be.
func drawArc(t *rapid.T, reach Length) (from, to Point, radius Length, left bool) {
	coordinate := rapid.Int64Range(-int64(reach), int64(reach))
	point := func(label string) Point {
		return at(Length(coordinate.Draw(t, label+" east")), Length(coordinate.Draw(t, label+" north")))
	}
	from, to = point("from"), point("to")
	if from == to {
		to.East++
	}
	least := (from.DistanceTo(to) + 3) / 2
	radius = min(least+Length(rapid.Int64Range(0, 99*int64(least)).Draw(t, "more")), MaxLength)
	return from, to, radius, rapid.Bool().Draw(t, "left")
}

// Points lie on the circle, equally far apart, up to rounding, also where the
// circle is a county wide; backwards and mirrored they are the same, the one in
// the middle within a nanometre.
func TestArcLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		reach := rapid.SampledFrom([]Length{1000, Foot, 1000 * Foot, 100_000 * Metre}).Draw(t, "reach")
		from, to, radius, left := drawArc(t, reach)
		n := rapid.IntRange(2, 60).Draw(t, "n")
		mirror := func(p Point) Point { return at(p.East, -p.North) }
		arc, err := NewArc(from, to, radius, left, false)
		back, backErr := NewArc(to, from, radius, !left, false)
		mirrored, mirroredErr := NewArc(mirror(from), mirror(to), radius, !left, false)
		if err != nil || backErr != nil || mirroredErr != nil {
			t.Fatal(err, backErr, mirroredErr)
		}
		first := from.DistanceTo(arc.Point(1, n))
		for k := range n {
			p, q := arc.Point(k, n), arc.Point(k+1, n)
			if off := offCircle(from, to, radius, left, false, p); off > 0.8 {
				t.Fatalf("point %d is %.2f nm off the circle", k, off)
			}
			if chord := p.DistanceTo(q); (chord - first).Abs() > 3 {
				t.Fatalf("chord %d is %d nm, the first %d", k, chord, first)
			}
			if other := back.Point(n-k, n); other != p && (2*k != n || p.DistanceTo(other) > 1) {
				t.Fatalf("point %d backwards is %v, want %v", k, other, p)
			}
			if mirror(mirrored.Point(k, n)) != p {
				t.Fatalf("point %d mirrored is %v, want %v mirrored", k, mirrored.Point(k, n), p)
			}
		}
	})
}

// The larger arc, as long as it is not nearly all of a huge circle.
func TestMajorArc(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, to, radius, left := drawArc(t, 1000*Foot)
		if width, ok := MulDivRound(int64(radius), int64(radius), int64(from.DistanceTo(to))); !ok || width > 1_000_000*int64(Metre) {
			return
		}
		n := rapid.IntRange(2, 60).Draw(t, "n")
		arc, err := NewArc(from, to, radius, left, true)
		if err != nil {
			t.Fatal(err)
		}
		first := from.DistanceTo(arc.Point(1, n))
		for k := range n {
			p, q := arc.Point(k, n), arc.Point(k+1, n)
			if off := offCircle(from, to, radius, left, true, p); off > 0.8 {
				t.Fatalf("point %d is %.2f nm off the circle", k, off)
			}
			if chord := p.DistanceTo(q); (chord - first).Abs() > 3 {
				t.Fatalf("chord %d is %d nm, the first %d", k, chord, first)
			}
		}
	})
}
