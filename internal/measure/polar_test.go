package measure

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

const seriesBits = 200

// exactArctan is the arc tangent of 1/n in 2^-200, by Gregory's series.
func exactArctan(n *big.Int) *big.Int {
	term := new(big.Int).Lsh(big.NewInt(1), seriesBits)
	term.Quo(term, n)
	square := new(big.Int).Mul(n, n)
	sum := new(big.Int)
	for k := int64(1); term.Sign() != 0; k += 2 {
		part := new(big.Int).Quo(term, big.NewInt(k))
		if k%4 == 3 {
			part.Neg(part)
		}
		sum.Add(sum, part)
		term.Quo(term, square)
	}
	return sum
}

// exactPi is pi in 2^-200, by Machin's formula.
func exactPi() *big.Int {
	p := new(big.Int).Mul(exactArctan(big.NewInt(5)), big.NewInt(16))
	return p.Sub(p, new(big.Int).Mul(exactArctan(big.NewInt(239)), big.NewInt(4)))
}

// exactSinCos is the sine and cosine of parts of fine in 2^-200, by Taylor's
// series.
func exactSinCos(parts *big.Int) (sin, cos *big.Int) {
	x := new(big.Int).Mul(parts, exactPi())
	x.Quo(x, new(big.Int).SetUint64(uint64(fineHalf)))
	sin, cos = new(big.Int), new(big.Int)
	term := new(big.Int).Lsh(big.NewInt(1), seriesBits)
	for k := int64(1); term.Sign() != 0; k++ {
		into := []*big.Int{sin, cos}[k%2]
		if (k-1)/2%2 == 0 {
			into.Add(into, term)
		} else {
			into.Sub(into, term)
		}
		term.Mul(term, x)
		term.Rsh(term, seriesBits)
		term.Quo(term, big.NewInt(k))
	}
	return sin, cos
}

// offBy is how far got is from exact/2^200 times scale.
func offBy(got int64, exact *big.Int, scale int64) float64 {
	want := new(big.Rat).SetFrac(new(big.Int).Mul(exact, big.NewInt(scale)), new(big.Int).Lsh(big.NewInt(1), seriesBits))
	f, _ := want.Sub(want, new(big.Rat).SetInt64(got)).Float64()
	return math.Abs(f)
}

// The constants from their definitions: a radian and the sine of 45 degrees,
// and the start as the one that the stretch of the whole table brings to one.
func TestPolarConstants(t *testing.T) {
	one := new(big.Int).Lsh(big.NewInt(1), seriesBits)
	radian := new(big.Int).Mul(new(big.Int).SetUint64(uint64(fineHalf)), one)
	radian.Quo(radian.Lsh(radian, 1), exactPi())
	if got := radian.Add(radian, big.NewInt(1)).Rsh(radian, 1); got.Int64() != fineRadian {
		t.Errorf("a radian is %v parts, not %v", got, int64(fineRadian))
	}
	if eighth, _ := exactSinCos(new(big.Int).SetUint64(uint64(fineQuarter / 2))); offBy(sineEighth, eighth, sineOne) > 0.5 {
		t.Errorf("the sine of 45 degrees is off by %g", offBy(sineEighth, eighth, sineOne))
	}
	stretched := new(big.Rat).SetFrac64(sineStart, sineOne)
	stretched.Mul(stretched, stretched)
	for i := range arctanTable {
		quarter := new(big.Int).Lsh(big.NewInt(1), uint(2*(i+1)))
		stretched.Mul(stretched, new(big.Rat).Add(big.NewRat(1, 1), new(big.Rat).SetFrac(big.NewInt(1), quarter)))
	}
	off, _ := stretched.Sub(stretched, big.NewRat(1, 1)).Float64()
	if math.Abs(off) > 1.0/sineOne { // the square of one half part of rounding
		t.Errorf("the start stretches to 1 + %g", off)
	}
}

func TestStep(t *testing.T) {
	for _, c := range []struct {
		direction Angle
		l         Length
		want      Point
	}{
		{0, 100 * ft, at(100*ft, 0)},
		{90 * Degree, 100 * ft, at(0, 100*ft)},
		{180 * Degree, 100 * ft, at(-100*ft, 0)},
		{270 * Degree, 100 * ft, at(0, -100*ft)},
		{360 * Degree, MaxSiteTotal, at(MaxSiteTotal, 0)},
		{-90 * Degree, math.MaxInt64, at(0, -math.MaxInt64)},
		{30 * Degree, 2 * Metre, at(1_732_050_808, 1_000_000_000)}, // sqrt 3 = 1.7320508076
		{45 * Degree, Metre, at(707_106_781, 707_106_781)},         // sqrt 1/2 = 0.7071067812
		{150 * Degree, -2 * Metre, at(1_732_050_808, -1_000_000_000)},
		{36_869_897_646, 5 * Metre, at(4*Metre, 3*Metre)}, // arctan 3/4
		{1, Metre, at(Metre, 0)},
		{77, 0, at(0, 0)},
	} {
		if got := Step(c.direction, c.l); got != c.want {
			t.Errorf("Step(%v, %v) = %v, want %v", c.direction, c.l, got, c.want)
		}
	}
}

// Against Taylor's series: within one nanometre up to 1,000 km, and the sines
// themselves within 1e-16.
func TestStepIsNear(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, a Angle, l Length) {
		sin, cos := exactSinCos(new(big.Int).Mul(big.NewInt(int64(a)), big.NewInt(arctanScale)))
		got := Step(a, l)
		if e, n := offBy(int64(got.East), cos, int64(l)), offBy(int64(got.North), sin, int64(l)); max(e, n) > 0.6 {
			t.Fatalf("Step(%v, %v) is off by %.3f nm east, %.3f nm north", a, l, e, n)
		}
	}
	for a := Angle(1); a < 360*Degree; a = a*3 + 1 {
		check(t, a, MaxSiteTotal)
	}
	check(t, 45*Degree-1, MaxSiteTotal)
	check(t, 45*Degree, MaxSiteTotal)
	check(t, 90*Degree+1, MaxSiteTotal)
	rapid.Check(t, func(t *rapid.T) {
		a := Angle(rapid.Int64Range(0, int64(360*Degree)).Draw(t, "a"))
		check(t, a, Length(rapid.Int64Range(0, int64(MaxSiteTotal)).Draw(t, "l")))
		parts := fine(rapid.Uint64Range(0, uint64(fineHalf)).Draw(t, "parts"))
		sin, cos := exactSinCos(new(big.Int).SetUint64(uint64(parts)))
		s, c := sinCos(parts)
		if off := max(offBy(s, sin, sineOne), offBy(c, cos, sineOne)) / sineOne; off > 1e-16 {
			t.Fatalf("sinCos(%d) is off by %g", parts, off)
		}
	})
}

func TestStepTurnsAndMirrors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Angle(rapid.Int64Range(-int64(800*Degree), int64(800*Degree)).Draw(t, "a"))
		l := Length(rapid.Int64Range(-math.MaxInt64, math.MaxInt64).Draw(t, "l"))
		p := Step(a, l)
		if got := Step(a+90*Degree, l); got != (Point{-p.North, p.East}) {
			t.Fatalf("turned: %v, want %v turned", got, p)
		}
		if got := Step(-a, l); got != (Point{p.East, -p.North}) {
			t.Fatalf("mirrored: %v, want %v mirrored", got, p)
		}
		if got := Step(90*Degree-a, l); got != (Point{p.North, p.East}) {
			t.Fatalf("mirrored at 45 degrees: %v, want %v mirrored", got, p)
		}
		if got := Step(a, -l); got != (Point{-p.East, -p.North}) {
			t.Fatalf("backwards: %v, want %v backwards", got, p)
		}
	})
}

// A step and the direction of it agree: to a nanodegree of rounding, and what a
// nanometre is across the step.
func TestStepAndDirection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Angle(rapid.Int64Range(0, int64(360*Degree)-1).Draw(t, "a"))
		p := Step(a, MaxLength)
		off := (Direction(p.East, p.North) - a).Abs()
		if off = min(off, 360*Degree-off); off > 1 {
			t.Fatalf("Direction of Step(%v) is off by %d nanodegrees", a, off)
		}
	})
}

// The fine arc tangent undoes the sine and cosine to 3e-16 of a radian.
func TestArctanFine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := fine(rapid.Uint64Range(0, uint64(fineQuarter)).Draw(t, "a"))
		sin, cos := sinCos(a)
		got := arctanFine(wide{0, uint64(sin)}, wide{0, uint64(cos)})
		if off := math.Abs(float64(int64(got-a))) / fineRadian; off > 3e-16 {
			t.Fatalf("arctanFine of %d is off by %g radian", a, off)
		}
	})
	if got := arctanFine(wide{}, wide{}); got != 0 {
		t.Errorf("the angle of nothing is %d", got)
	}
}
