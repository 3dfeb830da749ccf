package measure

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func at(east, north Length) Point { return Point{east, north} }

func TestHypot(t *testing.T) {
	for _, c := range []struct{ dx, dy, want Length }{
		{0, 0, 0}, {3 * ft, 4 * ft, 5 * ft}, {-3 * ft, 4 * ft, 5 * ft}, {0, -8 * ft, 8 * ft},
		{1, 1, 1}, // 1.414
		{1, 2, 2}, // 2.236
		{2, 3, 4}, // 3.606
		{math.MinInt64, math.MinInt64, math.MaxInt64},
	} {
		if got := Hypot(c.dx, c.dy); got != c.want {
			t.Errorf("Hypot(%d, %d) = %d, want %d", c.dx, c.dy, got, c.want)
		}
	}
}

// [SUR-6, computed in the reference list] 177.50 ft on a 3 % slope is 177.42 ft
// in plan; 29.705 m with a rise of 3.658 m is 29.479 m. Here from plan to slope.
func TestHypotOfSlopes(t *testing.T) {
	if got := Hypot(Must("177.42 ft"), Must("177.42 ft")*3/100).In(Foot, 2); got != "177.5 ft" {
		t.Errorf("177.42 ft rising 3 %% is %s along the slope, want 177.5 ft", got)
	}
	if got := Hypot(Must("29.479 m"), Must("3.658 m")).Metric(); got != "29.705 m" {
		t.Errorf("29.479 m rising 3.658 m is %s along the slope, want 29.705 m", got)
	}
}

func TestLerp(t *testing.T) {
	a, b := at(10, 0), at(17, -7)
	for _, c := range []struct {
		num, den Length
		want     Point
	}{
		{0, 7, a}, {7, 7, b}, {1, 7, at(11, -1)},
		{1, 2, at(14, -4)}, // halves away from a
		{1, 0, a},
	} {
		if got := Lerp(a, b, c.num, c.den); got != c.want {
			t.Errorf("%d/%d of the way is %v, want %v", c.num, c.den, got, c.want)
		}
	}
	// The product passes 64 bits: halfway between the furthest corners.
	far := at(MaxLength, MaxLength)
	if got := Lerp(at(-MaxLength, -MaxLength), far, MaxLength, 2*MaxLength); got != at(0, 0) {
		t.Errorf("halfway across everything is %v", got)
	}
}

func points() *rapid.Generator[Point] {
	coordinate := rapid.OneOf(rapid.Int64Range(-20, 20), rapid.Int64Range(-int64(MaxLength)/2, int64(MaxLength)/2))
	return rapid.Custom(func(t *rapid.T) Point {
		return at(Length(coordinate.Draw(t, "east")), Length(coordinate.Draw(t, "north")))
	})
}

func quarterTurn(p Point) Point { return at(-p.North, p.East) }

// Moving and quarter turns move and turn the place of a post, and leave
// distances and turns alone.
func TestPlaneLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c, move := points().Draw(t, "a"), points().Draw(t, "b"), points().Draw(t, "c"), points().Draw(t, "move")
		den := Length(rapid.Int64Range(1, int64(MaxLength)).Draw(t, "den"))
		num := Length(rapid.Int64Range(0, int64(den)).Draw(t, "num"))
		post := Lerp(a, b, num, den)
		if got := Lerp(a.Add(move), b.Add(move), num, den); got != post.Add(move) {
			t.Fatalf("moved, the post stands at %v, want %v", got, post.Add(move))
		}
		if got := Lerp(quarterTurn(a), quarterTurn(b), num, den); got != quarterTurn(post) {
			t.Fatalf("turned, the post stands at %v, want %v", got, quarterTurn(post))
		}
		if d := a.DistanceTo(b); d != b.DistanceTo(a) || d != a.Add(move).DistanceTo(b.Add(move)) || d != quarterTurn(a).DistanceTo(quarterTurn(b)) {
			t.Fatalf("the distance changes")
		}
		if d := a.DistanceTo(b); d > a.DistanceTo(c)+c.DistanceTo(b)+1 { // each is rounded
			t.Fatalf("a detour is shorter")
		}

		turn := Turn(a, b, c)
		if turn <= -180*Degree || turn > 180*Degree {
			t.Fatalf("Turn = %v", turn)
		}
		if got := Turn(a.Add(move), b.Add(move), c.Add(move)); got != turn {
			t.Fatalf("moved, it turns %v, want %v", got, turn)
		}
		if got := Turn(quarterTurn(a), quarterTurn(b), quarterTurn(c)); got != turn {
			t.Fatalf("turned, it turns %v, want %v", got, turn)
		}
		if turn == 180*Degree {
			return
		}
		if got := Turn(c, b, a); got != -turn {
			t.Fatalf("backwards, it turns %v, want %v", got, -turn)
		}
		mirror := func(p Point) Point { return at(p.North, p.East) }
		if got := Turn(mirror(a), mirror(b), mirror(c)); got != -turn {
			t.Fatalf("mirrored, it turns %v, want %v", got, -turn)
		}
	})
}
