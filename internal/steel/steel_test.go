package steel

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/measure"
	"wattle/internal/rational"
)

// near reports whether got is within a part of want: 3 is 0.3 %.
func near(got rational.Number, want string, permille int64) bool {
	w, _ := new(big.Rat).SetString(want)
	off := got.Sub(rational.FromBig(w)).Big()
	return off.Abs(off).Cmp(w.Mul(w, big.NewRat(permille, 1000))) <= 0
}

func TestPoundsPerFoot(t *testing.T) {
	for _, c := range []struct{ od, wall, want, source string }{
		{"1.900 in", "0.145 in", "2.72", "AS-6, weight seen, formula recalled"},
		{"4.000 in", "0.226 in", "9.1", "AS-6, weight seen, formula recalled"},
		{"1.315 in", "0.133 in", "1.68", "from memory"},
		{"1.660 in", "0.140 in", "2.27", "from memory"},
		{"2.375 in", "0.154 in", "3.65", "from memory"},
		{"2.375 in", "0.130 in", "3.12", "from memory"},
		{"2.875 in", "0.203 in", "5.79", "from memory"},
		{"3.500 in", "0.216 in", "7.58", "from memory"},
		{"6.625 in", "0.280 in", "18.97", "from memory"},
	} {
		got := PoundsPerFoot(measure.Must(c.od), measure.Must(c.wall))
		if !near(got, c.want, 3) {
			t.Errorf("%s x %s: %s lb/ft, want %s [%s]", c.od, c.wall, got.Fixed(4), c.want, c.source)
		}
	}
	if got := PoundsPerFoot(measure.Must("1.900 in"), measure.Must("0.145 in")).String(); got != "10881351/4000000" {
		t.Errorf("1.900 x 0.145: %s lb/ft, want 10.69 x 1.755 x 0.145 exactly", got)
	}
}

// The 10.69 of the trade is the density that square tube is reckoned at, to 1
// part in 10,000.
func TestOneDensity(t *testing.T) {
	pipe := measure.Pi().Mul(rational.Of(12*density, 1728))
	if pipe.Fixed(4) != "10.6901" {
		t.Errorf("a foot of pipe weighs %s (D - t) t", pipe.Fixed(4))
	}
}

func TestSquarePoundsPerFoot(t *testing.T) {
	for _, c := range []struct{ side, wall, want, source string }{
		{"2 in", "1 in", "13.611", "a solid bar: 4/144 ft2 x 490, common practice"},
		{"2 in", "1/8 in", "3.05", "from memory, with rounded corners; ours are sharp"},
		{"4 in", "1/4 in", "12.21", "from memory, with rounded corners; ours are sharp"},
	} {
		got := SquarePoundsPerFoot(measure.Must(c.side), measure.Must(c.wall))
		want, _ := new(big.Rat).SetString(c.want)
		if !near(got, c.want, 50) || got.Big().Cmp(want) < 0 {
			t.Errorf("%s x %s: %s lb/ft, want about %s [%s]", c.side, c.wall, got.Fixed(3), c.want, c.source)
		}
	}
}

// No wall, no weight; nor where the walls would not fit into the pipe.
func TestWallsThatCannotBe(t *testing.T) {
	for _, c := range []struct{ od, wall measure.Length }{
		{measure.Inch, 0}, {measure.Inch, -1}, {measure.Inch, measure.Inch/2 + 1}, {0, 1}, {-measure.Inch, 1}, {-1 << 63, 1<<63 - 1},
	} {
		if got, square := PoundsPerFoot(c.od, c.wall), SquarePoundsPerFoot(c.od, c.wall); got.Sign() != 0 || square.Sign() != 0 {
			t.Errorf("%d x %d nm: %v and %v lb/ft, want 0", c.od, c.wall, got, square)
		}
	}
}

// Thicker is heavier, the square round a pipe is heavier than the pipe, and a
// tube is a solid bar less the bar that fits into it.
func TestWeightLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		od := measure.Length(rapid.Int64Range(4, int64(measure.Foot)).Draw(t, "half a diameter")) * 2
		wall := measure.Length(rapid.Int64Range(1, int64(od)/2-1).Draw(t, "wall"))
		for _, weight := range []func(od, wall measure.Length) rational.Number{PoundsPerFoot, SquarePoundsPerFoot} {
			tube := weight(od, wall)
			if weight(od, wall+1).Cmp(tube) <= 0 {
				t.Fatalf("%d x %d nm: a thicker wall is not heavier", od, wall)
			}
			core := od - 2*wall
			bars := weight(od, od/2).Sub(weight(core, core/2))
			if bars.Cmp(tube) != 0 {
				t.Fatalf("%d x %d nm: %s lb/ft, but %s by its bars", od, wall, tube, bars)
			}
		}
		if SquarePoundsPerFoot(od, wall).Cmp(PoundsPerFoot(od, wall)) <= 0 {
			t.Fatalf("%d x %d nm: the square tube is no heavier", od, wall)
		}
	})
}

func TestPipes(t *testing.T) {
	var last Pipe
	for _, p := range Pipes() {
		if p.Source == "" || PoundsPerFoot(p.OD, p.Wall).Sign() == 0 {
			t.Errorf("%+v weighs nothing or has no source", p)
		}
		if p.OD < last.OD || p.OD == last.OD && p.Wall >= last.Wall {
			t.Errorf("%v x %v comes after %v x %v", p.OD, p.Wall, last.OD, last.Wall)
		}
		if wall, err := WallFor(p.OD); err != nil || p.Grade == Schedule40 && wall != p.Wall || p.Grade == HighStrength && wall <= p.Wall {
			t.Errorf("the wall of %+v is %v, %v", p, wall, err)
		}
		last = p
	}
	Pipes()[0].Wall = 0
	if Pipes()[0].Wall == 0 {
		t.Error("a caller can change the table")
	}
}

func TestWallFor(t *testing.T) {
	for od, want := range map[string]string{
		"1.900 in": "0.145 in", "4.000 in": "0.226 in", // AS-6, seen
		"1.315 in": "0.133 in", "1.660 in": "0.140 in", "2.375 in": "0.154 in", "2.875 in": "0.203 in", "3.500 in": "0.216 in", "6.625 in": "0.280 in", // from memory
	} {
		if got, err := WallFor(measure.Must(od)); err != nil || got != measure.Must(want) {
			t.Errorf("%s pipe: a wall of %v, %v; want %s", od, got.Inches(3), err, want)
		}
	}
	_, err := WallFor(measure.Must("1-5/8 in"))
	if err == nil || !strings.Contains(err.Error(), "no pipe of 1.625 in outside diameter is known here; expected one of 1.315 in, 1.66 in, 1.9 in, 2.375 in") {
		t.Errorf("1-5/8 in: %v", err)
	}
}

func ExamplePoundsPerFoot() {
	//   ___
	//  /   \   1.900 in over all
	//  \___/   0.145 in wall
	fmt.Println(PoundsPerFoot(measure.Must("1.900 in"), measure.Must("0.145 in")).Fixed(2), "lb/ft")
	// Output: 2.72 lb/ft
}
