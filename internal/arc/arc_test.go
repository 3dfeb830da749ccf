package arc

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/measure"
)

const ft, m = measure.Foot, measure.Metre

func at(east, north measure.Length) measure.Point {
	return measure.Point{East: east, North: north}
}

// LAY-6 [Tremonton UT 3.18.010 D], away from its limits, which it leaves open.
func TestChainLinkSpacing(t *testing.T) {
	for _, c := range []struct{ radius, want measure.Length }{
		{5000, 10}, {600, 10}, {300, 8}, {150, 6}, {90, 5}, {20, 5},
	} {
		if got := Spacing(ChainLink, c.radius*ft); got != c.want*ft {
			t.Errorf("radius %d ft: %v, want %d ft", c.radius, got, c.want)
		}
	}
	reversed := slices.Clone(ChainLink)
	slices.Reverse(reversed)
	if got := Spacing(reversed, 300*ft); got != 8*ft {
		t.Errorf("the table upside down gives %v, want 8 ft", got)
	}
	for _, table := range [][]Limit{nil, {{100 * ft, 5 * ft}}} {
		if got := Spacing(table, 99*ft); got != 0 {
			t.Errorf("%v gives %v at 99 ft, want nothing", table, got)
		}
	}
}

// A quarter of a circle about the origin, by LAY-6: the chord of n is
// 2 R sin(45 deg / n), computed.
func TestChordsByRadius(t *testing.T) {
	for _, c := range []struct {
		radius measure.Length
		chords int // ceil of 45 deg / arcsin(spacing / 2R)
	}{
		{600, 95}, // 10 ft: 45 / 0.477471 = 94.25
		{300, 59}, // 8 ft: 45 / 0.763967 = 58.90
		{150, 40}, // 6 ft: 45 / 1.145992 = 39.27
		{90, 29},  // 5 ft: 45 / 1.591762 = 28.27
	} {
		r := c.radius * ft
		points, err := Chords(Curve{From: at(r, 0), To: at(0, r), Radius: r, Left: true}, Spacing(ChainLink, r))
		if err != nil || len(points) != c.chords-1 {
			t.Errorf("radius %d ft: %d chords, %v; want %d", c.radius, len(points)+1, err, c.chords)
		}
		for i, p := range points {
			if off := p.DistanceTo(at(0, 0)) - r; off.Abs() > 1 {
				t.Errorf("radius %d ft: point %d is %d nm off the circle", c.radius, i, off)
			}
		}
	}
}

func TestChords(t *testing.T) {
	const h = 2_639_645_431 // 10 ft sqrt(3)/2
	half := Curve{From: at(-10*ft, 0), To: at(10*ft, 0), Radius: 10 * ft}
	left := half
	left.Left = true
	major := Curve{From: at(10*ft, 0), To: at(0, 10*ft), Radius: 10 * ft, Major: true}
	for _, c := range []struct {
		name  string
		curve Curve
		limit measure.Length
		want  []measure.Point
	}{
		//   b---c
		//  /     \      half of a hexagon, which 10 ft divides exactly
		// a   o   d
		{"half a circle, right", half, 10 * ft, []measure.Point{at(-5*ft, h), at(5*ft, h)}},
		{"half a circle, left", left, 10 * ft, []measure.Point{at(-5*ft, -h), at(5*ft, -h)}},
		{"a limit one chord keeps", half, 20 * ft, nil},
		{"a nanometre less", half, 20*ft - 1, []measure.Point{at(0, 10*ft)}},
		{"the larger arc, three quarters", major, 15 * ft, []measure.Point{at(0, -10*ft), at(-10*ft, 0)}},
		{"the larger arc is never one chord", major, 100 * ft, []measure.Point{at(0, -10*ft), at(-10*ft, 0)}},
	} {
		if got, err := Chords(c.curve, c.limit); err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, %v; want %v", c.name, got, err, c.want)
		}
	}
}

func TestBadCurves(t *testing.T) {
	good := Curve{From: at(0, 0), To: at(20*ft, 0), Radius: 10 * ft}
	with := func(change func(*Curve)) Curve {
		c := good
		change(&c)
		return c
	}
	for _, c := range []struct {
		curve Curve
		limit measure.Length
		want  string
	}{
		{good, 0, "chords of at most 0 in; expected more than 0"},
		{good, -ft, "chords of at most -12 in; expected more than 0"},
		{good, math.MinInt64, "expected more than 0"},
		{good, measure.Millimetre / 10, "an arc of radius 10 ft takes more than 10000 chords of at most 0.0039 in"},
		{good, 1, "takes more than 10000 chords"},
		{with(func(c *Curve) { c.Radius = 9 * ft }), ft, "a radius of 9 ft is less than half of the 20 ft between the ends"},
		{with(func(c *Curve) { c.Radius = 0 }), ft, "a radius of 0 in; expected more than 0"},
		{with(func(c *Curve) { c.Radius = math.MinInt64 }), ft, "expected more than 0"},
		{with(func(c *Curve) { c.Radius = math.MaxInt64 }), ft, "expected more than 0 and at most"},
		{with(func(c *Curve) { c.To = c.From }), ft, "ends where it starts"},
		{with(func(c *Curve) { c.To.East = math.MaxInt64 }), ft, "an end of the arc is at"},
	} {
		if got, err := Chords(c.curve, c.limit); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("Chords(%+v, %v) = %v, %v; want an error saying %q", c.curve, c.limit, got, err, c.want)
		}
	}
}

func curves() *rapid.Generator[Curve] {
	return rapid.Custom(func(t *rapid.T) Curve {
		coordinate := rapid.Int64Range(-int64(500*m), int64(500*m))
		point := func(label string) measure.Point {
			return at(measure.Length(coordinate.Draw(t, label+" east")), measure.Length(coordinate.Draw(t, label+" north")))
		}
		c := Curve{From: point("from"), To: point("to"), Left: rapid.Bool().Draw(t, "left"), Major: rapid.Bool().Draw(t, "major")}
		c.To.East += m / 2 // not the same point
		least := (c.From.DistanceTo(c.To) + 3) / 2
		c.Radius = least + measure.Length(rapid.Int64Range(0, 3*int64(least)).Draw(t, "more"))
		return c
	})
}

// No chord passes the limit, one chord fewer would have one that does, all are
// equal within rounding, and the way turns to its side at each point.
func TestFewestChords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := curves().Draw(t, "curve")
		limit := measure.Length(rapid.Int64Range(int64(c.Radius/50), int64(2*c.Radius)).Draw(t, "limit"))
		if rapid.Bool().Draw(t, "where rounding decides") {
			a, err := measure.NewArc(c.From, c.To, c.Radius, c.Left, c.Major)
			if err != nil {
				t.Fatal(err)
			}
			n := rapid.IntRange(2, 60).Draw(t, "chords")
			limit = max(1, a.Point(0, n).DistanceTo(a.Point(1, n))+measure.Length(rapid.Int64Range(-12, 12).Draw(t, "beside")))
		}
		inner, err := Chords(c, limit)
		if err != nil {
			t.Fatal(err)
		}
		way := slices.Concat([]measure.Point{c.From}, inner, []measure.Point{c.To})
		n := len(way) - 1
		first := way[0].DistanceTo(way[1])
		for i := range n {
			chord := way[i].DistanceTo(way[i+1])
			if chord > limit || (chord-first).Abs() > 3 {
				t.Fatalf("chord %d of %d is %v, the first %v, the limit %v", i, n, chord, first, limit)
			}
			if i > 0 && (measure.Turn(way[i-1], way[i], way[i+1]) > 0) != c.Left {
				t.Fatalf("at point %d of %d it turns %v", i, n, measure.Turn(way[i-1], way[i], way[i+1]))
			}
		}
		fewest := 1
		if c.Major {
			fewest = 3
		}
		if n < fewest {
			t.Fatalf("%d chords", n)
		}
		if n == fewest {
			return
		}
		arc, err := measure.NewArc(c.From, c.To, c.Radius, c.Left, c.Major)
		if err != nil {
			t.Fatal(err)
		}
		longest := measure.Length(0)
		for k := range n - 1 {
			longest = max(longest, arc.Point(k, n-1).DistanceTo(arc.Point(k+1, n-1)))
		}
		if longest <= limit {
			t.Fatalf("%d chords of %v; %d of %v would keep %v", n, first, n-1, longest, limit)
		}
	})
}

// Backwards and mirrored, an arc has the same points, the one in the middle
// within a nanometre.
func TestChordsMirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := curves().Draw(t, "curve")
		limit := c.Radius / measure.Length(rapid.Int64Range(2, 40).Draw(t, "share"))
		mirror := func(p measure.Point) measure.Point { return at(-p.East, p.North) }
		back, mirrored := c, c
		back.From, back.To, back.Left = c.To, c.From, !c.Left
		mirrored.From, mirrored.To, mirrored.Left = mirror(c.From), mirror(c.To), !c.Left
		var ways [3][]measure.Point
		for i, curve := range []Curve{c, back, mirrored} {
			way, err := Chords(curve, limit)
			if err != nil {
				t.Fatal(err)
			}
			ways[i] = way
		}
		if len(ways[0]) != len(ways[1]) || len(ways[0]) != len(ways[2]) {
			t.Fatalf("%d, backwards %d, mirrored %d points", len(ways[0]), len(ways[1]), len(ways[2]))
		}
		for i, p := range ways[0] {
			q, r := ways[1][len(ways[0])-1-i], mirror(ways[2][i])
			if (p.East-q.East).Abs() > 1 || (p.North-q.North).Abs() > 1 || p != r {
				t.Fatalf("point %d is %v, backwards %v, mirrored %v", i, p, q, r)
			}
		}
	})
}

// The most chords that are laid, and in a reasonable time.
func TestManyChords(t *testing.T) {
	c := Curve{From: at(-1000*m, 0), To: at(1000*m, 0), Radius: 1000 * m}
	points, err := Chords(c, measure.Must("314.2 mm")) // pi km in 10,000: 314.16 mm
	if err != nil || len(points) != 9998 {
		t.Errorf("%d points, %v; want 9998", len(points), err)
	}
}

// A quarter circle of 16 ft begins and ends along the axes; a third of a circle
// turns by 120 degrees, the major arc of the same ends by 240.
func TestTangents(t *testing.T) {
	at := func(e, n measure.Length) measure.Point {
		return measure.Point{East: e * measure.Foot, North: n * measure.Foot}
	}
	for _, c := range []struct {
		name       string
		curve      Curve
		start, end measure.Angle // degrees
	}{
		{"north, turning west", Curve{From: at(80, -16), To: at(64, 0), Radius: 16 * measure.Foot, Left: true}, 90, 180},
		{"north, turning east", Curve{From: at(0, 0), To: at(16, 16), Radius: 16 * measure.Foot}, 90, 0},
		{"half a circle", Curve{From: at(0, 0), To: at(20, 0), Radius: 10 * measure.Foot}, 90, 270},
		{"three quarters", Curve{From: at(0, 0), To: at(16, 16), Radius: 16 * measure.Foot, Left: true, Major: true}, 270, 180},
	} {
		start, end, err := Tangents(c.curve)
		if err != nil || start != c.start*measure.Degree || end != c.end*measure.Degree {
			t.Errorf("%s: %s to %s, %v; want %d and %d deg", c.name, start, end, err, c.start, c.end)
		}
	}
	if _, _, err := Tangents(Curve{From: at(0, 0), To: at(16, 16), Radius: measure.Foot}); err == nil {
		t.Error("a radius too small gave tangents")
	}
}
