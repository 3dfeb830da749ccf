package measure

import (
	"fmt"
	"math"
	"testing"

	"wattle/internal/rational"
)

// near checks a figure within a tolerance.
func near(t *testing.T, what string, r rational.Number, want, tolerance float64) {
	t.Helper()
	got, _ := r.Big().Float64()
	if math.Abs(got-want) > tolerance {
		t.Errorf("%s = %.6f, want %v within %v", what, got, want, tolerance)
	}
}

// net is a hole of the given diameter and depth less a square post through it.
func net(diameter, depth, post Length) Solid {
	return Cylinder(diameter, depth).Sub(Box(post, post, depth))
}

func TestConcreteOfHoles(t *testing.T) {
	// [AS-11b, CON-3] 6 in x 36 in cylinder (gardenguides.com how_5597665)
	near(t, "6 x 36 in", Cylinder(6*in, 36*in).Ft3(), 0.59, 0.005)
	// [CON-2] 12 in x 2 ft 9 in: 2.16 ft3, 3.6 bags of 80 lb (constructionwork.com, columns and posts)
	near(t, "12 x 33 in", Cylinder(12*in, 33*in).Ft3(), 2.16, 0.005)
	bags := Cylinder(12*in, 33*in).Ft3()
	near(t, "in bags of 0.60 ft3", bags.Quo(rational.Of(60, 100)), 3.6, 0.05)
	// [AS-11a] 12 x 36 in hole, 6 in gravel, 4x4 post: 15-1/2 holes a cubic yard, within 1 % (motherearthnews.com ZE0Z1401ZCOV)
	holes := rational.Int(27).Quo(net(12*in, 30*in, in*7/2).Ft3())
	near(t, "holes in 27 ft3", holes, 15.5, 0.155)
}

// [CON-5] net of a 3.5 in post, computed in the reference list.
func TestNetHoleVolumes(t *testing.T) {
	for _, c := range []struct {
		diameter, depth Length
		want            string
	}{
		{10, 24, "0.9207 ft3"}, {10, 30, "1.1509 ft3"}, {10, 36, "1.3810 ft3"},
		{12, 30, "1.7508 ft3"}, {12, 36, "2.1010 ft3"}, {12, 48, "2.8013 ft3"},
	} {
		v := net(c.diameter*in, c.depth*in, in*7/2).Volume()
		if v.String() != c.want {
			t.Errorf("%d x %d in: %v, want %s", c.diameter, c.depth, v, c.want)
		}
	}
}

func TestCone(t *testing.T) {
	// A cone is a third of its cylinder (geometry).
	third := Cylinder(12*in, 2*in).Ft3().Quo(rational.Int(3))
	if got := Cone(12*in, 2*in).Ft3(); got.Cmp(third) != 0 {
		t.Errorf("cone %v, want %v", got, third)
	}
}

func TestVolumeRounding(t *testing.T) {
	for _, c := range []struct {
		num, den int64
		want     Volume
	}{
		{1, 1, 10_000}, {0, 1, 0}, {1, 20_000, 1}, {9_999, 200_000_000, 0}, {3, 20_000, 2}, {-1, 20_000, 0}, {-3, 20_000, -1},
		{-10_001, 200_000_000, -1}, {math.MaxInt64, 1, math.MaxInt64}, {math.MinInt64, 1, math.MinInt64},
	} {
		if got := VolumeFromFt3(rational.Of(c.num, c.den)); got != c.want {
			t.Errorf("%d/%d ft3 = %d, want %d", c.num, c.den, got, c.want)
		}
	}
	// An exact number of 80 lb bags [CON-1: 0.60 ft3] is exactly that.
	if got := VolumeFromFt3(BoxFt3(12*in, 12*in, Must("21.6 in"))); got.Ft3().Cmp(rational.Of(18, 10)) != 0 {
		t.Errorf("three bags are %v", got)
	}
}

func TestVolumeText(t *testing.T) {
	for v, want := range map[Volume][2]string{
		17508:         {"1.7508 ft3", "0.0496 m3"},
		0:             {"0.0000 ft3", "0.0000 m3"},
		-CubicFoot:    {"-1.0000 ft3", "-0.0283 m3"},
		27 * 10_000:   {"27.0000 ft3", "0.7646 m3"}, // a cubic yard
		math.MaxInt64: {"922337203685477.5807 ft3", "26117681102855.9257 m3"},
	} {
		if got := [2]string{v.String(), v.CubicMetres()}; got != want {
			t.Errorf("%d prints %q, want %q", int64(v), got, want)
		}
	}
}

func ExampleCylinder() {
	//   |<-12"->|
	//   |  | |  |   4x4 post, 3-1/2 in square
	//   |  | |  |   30 in of concrete
	//   |__|_|__|
	hole := Cylinder(Must("12 in"), Must("30 in")).Sub(Box(Must("3.5 in"), Must("3.5 in"), Must("30 in")))
	fmt.Println(hole.Volume())
	// Output: 1.7508 ft3
}
