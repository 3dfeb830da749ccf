package traverse

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/measure"
)

// directions and distances of the sides of a polygon, rounded as a leg rounds
// them.
func sides(vertices []measure.Point, closed bool) []LegText {
	var legs []LegText
	for i, a := range vertices {
		if i == len(vertices)-1 && !closed {
			break
		}
		d := vertices[(i+1)%len(vertices)].Sub(a)
		legs = append(legs, LegText{
			Bearing:  measure.BearingText(measure.Direction(d.East, d.North), 6),
			Distance: measure.Hypot(d.East, d.North).String(),
		})
	}
	return legs
}

func polygons(reach measure.Length) *rapid.Generator[[]measure.Point] {
	coordinate := rapid.Int64Range(-int64(reach), int64(reach))
	point := rapid.Custom(func(t *rapid.T) measure.Point {
		return measure.Point{East: measure.Length(coordinate.Draw(t, "east")), North: measure.Length(coordinate.Draw(t, "north"))}
	})
	return rapid.SliceOfNDistinct(point, 3, 40, rapid.ID)
}

// The sides of a polygon, as bearings and distances, close within rounding: a
// leg is off by 3 nm for its length and its step, and by 20 nm in a kilometre
// for the nanodegree that a direction may be off.
func TestPolygonsClose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		polygon := polygons(measure.Must("300 m")).Draw(t, "polygon")
		in := Input{Legs: sides(polygon, true), Start: polygon[0], Closes: true}
		r := mustRun(t, in)
		limit := measure.Length(0)
		for i, p := range r.Vertices {
			if d := p.DistanceTo(polygon[i]); d > limit {
				t.Fatalf("vertex %d is off by %d nm, allowed %d", i, d, limit)
			}
			limit += 3 + r.Legs[i].Distance/(50*measure.Metre)
		}
		if r.Closure.Misclosure > limit {
			t.Fatalf("misses by %d nm, allowed %d", r.Closure.Misclosure, limit)
		}
	})
}

// A balanced traverse ends on its point to the nanometre, and no vertex is moved
// more than the ones after it.
func TestBalanceCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		way := polygons(measure.Must("300 m")).Draw(t, "way")
		miss := rapid.Int64Range(-1_000_000, 1_000_000)
		to := way[len(way)-1].Add(measure.Point{East: measure.Length(miss.Draw(t, "east")), North: measure.Length(miss.Draw(t, "north"))})
		if to == way[0] {
			return
		}
		in := Input{Legs: sides(way, false), Start: way[0], To: &to, LeastPrecision: 1}
		length := measure.Length(0)
		for i := range way[1:] {
			length += way[i].DistanceTo(way[i+1])
		}
		if length < 10*measure.Millimetre { // so short that it may miss by more than its length
			return
		}
		plain := mustRun(t, in)
		in.Balance = true
		balanced := mustRun(t, in)
		if got := balanced.Vertices[len(way)-1]; got != to {
			t.Fatalf("ends at %v, want %v", got, to)
		}
		if balanced.Vertices[0] != way[0] {
			t.Fatalf("starts at %v", balanced.Vertices[0])
		}
		before := measure.Length(0)
		for i, p := range balanced.Vertices {
			moved := p.DistanceTo(plain.Vertices[i])
			if moved+2 < before || moved > plain.Closure.Misclosure+2 {
				t.Fatalf("vertex %d moves %d nm after %d, of %d", i, moved, before, plain.Closure.Misclosure)
			}
			before = moved
		}
	})
}

// Quarter-turning all bearings turns the vertices exactly, and walking back
// from the end leads over the same points.
func TestTurnsAndReverses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		way := polygons(measure.Must("10000 m")).Draw(t, "way")
		legs := sides(way, false)
		r := mustRun(t, Input{Legs: legs})
		bearing := func(a measure.Angle) string { return measure.BearingText(a, 6) }

		turned := slices.Clone(legs)
		reversed := slices.Clone(legs)
		for i, leg := range r.Legs {
			turned[i].Bearing = bearing(leg.Bearing + 90*measure.Degree)
			back := len(legs) - 1 - i
			reversed[back] = LegText{Bearing: bearing(leg.Bearing + 180*measure.Degree), Distance: legs[i].Distance}
		}
		quarter := mustRun(t, Input{Legs: turned}).Vertices
		back := mustRun(t, Input{Legs: reversed, Start: r.Vertices[len(legs)]}).Vertices
		for i, p := range r.Vertices {
			if quarter[i] != (measure.Point{East: -p.North, North: p.East}) {
				t.Fatalf("vertex %d turned is %v, want %v turned", i, quarter[i], p)
			}
			if back[len(legs)-i] != p {
				t.Fatalf("vertex %d backwards is %v, want %v", i, back[len(legs)-i], p)
			}
		}
	})
}

// The horizontal and the rise under a slope distance make it up again, within
// the rounding of each; and the rise leads to the same horizontal, where it is
// not so steep that its own rounding shows.
func TestSlopeLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := measure.Length(rapid.Int64Range(int64(measure.Millimetre), int64(measure.MaxLength)).Draw(t, "d"))
		percent := rapid.Int64Range(-1000*percentUnit, 1000*percentUnit).Draw(t, "percent")
		h, rise := belowSlope(d, percent)
		if off := measure.Hypot(h, rise) - d; off.Abs() > 1 {
			t.Fatalf("%d with %d makes %d off", h, rise, off)
		}
		if again := belowRise(d, rise); percent < 50*percentUnit && percent > -50*percentUnit && (again-h).Abs() > 1 {
			t.Fatalf("by rise %d, by slope %d", again, h)
		}
	})
}
