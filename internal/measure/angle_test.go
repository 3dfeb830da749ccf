package measure

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The table against Gregory's series, in integers of 2^-200: the arc tangent
// of 2^-n, and pi by Machin's formula.
func TestArctanTable(t *testing.T) {
	one := new(big.Int).Lsh(big.NewInt(1), seriesBits)
	piBits := exactPi()

	perHalfTurn := new(big.Int).Mul(big.NewInt(180*int64(Degree)), big.NewInt(arctanScale))
	for i, got := range arctanTable {
		exact := new(big.Rat).SetFrac(exactArctan(new(big.Int).Lsh(big.NewInt(1), uint(i+1))), piBits)
		exact.Mul(exact, new(big.Rat).SetInt(perHalfTurn))
		off := exact.Sub(exact, new(big.Rat).SetInt64(got))
		if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 {
			t.Errorf("entry %d is off by %v", i, off.FloatString(3))
		}
	}

	// The fixed pi is the true one cut after twenty decimals.
	truth := new(big.Rat).SetFrac(piBits, one)
	short := truth.Sub(truth, Pi().Big())
	if short.Sign() <= 0 || short.Cmp(big.NewRat(1, 1e18)) > 0 || short.Mul(short, big.NewRat(1e18, 1)).Cmp(big.NewRat(1, 100)) > 0 {
		t.Errorf("the fixed pi is short by %v", short)
	}
}

func TestDirectionIsExactAtEighths(t *testing.T) {
	for _, c := range []struct {
		dx, dy Length
		want   Angle
	}{
		{1, 0, 0}, {1, 1, 45}, {0, 1, 90}, {-1, 1, 135}, {-1, 0, 180}, {-1, -1, 225}, {0, -1, 270}, {1, -1, 315}, {0, 0, 0},
	} {
		for _, scale := range []Length{1, 3, Foot, MaxLength, 1<<63 - 1} {
			if got := Direction(c.dx*scale, c.dy*scale); got != c.want*Degree {
				t.Errorf("Direction(%d, %d) = %v, want %d deg", c.dx*scale, c.dy*scale, got, c.want)
			}
		}
	}
}

// Known triangles, and directions against the arc tangent of the standard
// library (whose last bits may differ between machines: the tolerance is a
// thousand times coarser than it, and a thousandth of a microdegree).
func TestDirectionIsNear(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, dx, dy Length) {
		want := math.Atan2(float64(dy), float64(dx)) / math.Pi * 180
		if want < 0 {
			want += 360
		}
		off := math.Abs(float64(Direction(dx, dy))/1e9 - want)
		if off = min(off, 360-off); off > 1e-9 {
			t.Fatalf("Direction(%d, %d) = %v, want %.12f", dx, dy, Direction(dx, dy), want)
		}
	}
	check(t, 4, 3)
	check(t, 12, -5)
	check(t, 1, math.MaxInt64)
	check(t, math.MaxInt64, 1)
	check(t, math.MinInt64, math.MinInt64+1)
	rapid.Check(t, func(t *rapid.T) {
		check(t, Length(rapid.Int64().Draw(t, "dx")), Length(rapid.Int64().Draw(t, "dy")))
		check(t, Length(rapid.Int64Range(-100, 100).Draw(t, "near dx")), Length(rapid.Int64Range(-100, 100).Draw(t, "near dy")))
	})
}

func TestDirectionTurnsAndMirrors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := points().Draw(t, "p")
		if p == at(0, 0) {
			return
		}
		full := func(a Angle) Angle { return (a + 720*Degree) % (360 * Degree) }
		a := Direction(p.East, p.North)
		if a < 0 || a >= 360*Degree {
			t.Fatalf("Direction = %v", a)
		}
		if got := Direction(-p.North, p.East); got != full(a+90*Degree) {
			t.Fatalf("turned: %v, want %v", got, full(a+90*Degree))
		}
		if got := Direction(p.East, -p.North); got != full(-a) {
			t.Fatalf("mirrored: %v, want %v", got, full(-a))
		}
	})
}

//	 c
//	/  left of straight on: positive
//
// a--b--
func TestTurn(t *testing.T) {
	a, b := at(0, 0), at(40*ft, 0)
	for _, c := range []struct {
		to   Point
		want Angle
	}{
		{at(80*ft, 0), 0},
		{at(80*ft, 40*ft), 45 * Degree},
		{at(40*ft, 30*ft), 90 * Degree},
		{at(40*ft, -30*ft), -90 * Degree},
		{at(10*ft, 30*ft), 135 * Degree},
		{at(10*ft, 0), 180 * Degree},
		{b, 0},
		{at(44*ft, 3*ft), 36_869_897_646}, // arctan 3/4 = 36.8698976458 deg
	} {
		if got := Turn(a, b, c.to); got != c.want {
			t.Errorf("Turn to %v = %v, want %v", c.to, got, c.want)
		}
	}
	for _, none := range [][3]Point{{a, a, b}, {b, b, a}, {a, b, b}, {b, a, a}, {a, a, a}} {
		if got := Turn(none[0], none[1], none[2]); got != 0 {
			t.Errorf("Turn along %v with no step = %v, want 0", none, got)
		}
	}
	// The furthest corners of the plane: products of 2^102 and more.
	far := MaxLength
	if got := Turn(at(-far, -far), at(far, -far), at(far, far)); got != 90*Degree {
		t.Errorf("Turn at the far corner = %v, want 90 deg", got)
	}
}

func TestParseAngle(t *testing.T) {
	for text, want := range map[string]Angle{
		"10 deg": 10 * Degree, "10°": 10 * Degree, "10 degrees": 10 * Degree, "-12.5°": -12_500_000_000,
		"0.000000001 deg": 1, "1/2 deg": Degree / 2, "360 deg": 360 * Degree, " −1 degree ": -Degree, "0 deg": 0,
	} {
		if got, err := ParseAngle(text); err != nil || got != want {
			t.Errorf("ParseAngle(%q) = %d, %v; want %d", text, int64(got), err, int64(want))
		}
	}
	for text, why := range map[string]string{
		"": "expected a number", "10": `it needs a unit, as in "10 deg"`, "10 rad": `expected "deg"`,
		"10 deg 30": `expected "deg"`, "361 deg": "at most 360", "-360.1 deg": "at most 360",
		"0.0000000001 deg": "nanodegrees", "1/3 deg": "nanodegrees", "99999999999999 deg": "at most 360", "x": "expected a number",
	} {
		if got, err := ParseAngle(text); err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("ParseAngle(%q) = %v, %v; want an error saying %q", text, got, err, why)
		}
	}
}

func FuzzParseAngle(f *testing.F) {
	for _, seed := range []string{"10 deg", "-12.5°", "1/3 deg", "360.000000001 deg", "", "1-1/2 deg"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		a, err := ParseAngle(text)
		if err != nil {
			return
		}
		if again, err := ParseAngle(a.String()); err != nil || again != a {
			t.Fatalf("ParseAngle(%q) = %d prints %q, which reads %d, %v", text, int64(a), a, int64(again), err)
		}
	})
}
