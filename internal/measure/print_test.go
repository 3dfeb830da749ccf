package measure

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

func TestPrint(t *testing.T) {
	for _, c := range []struct {
		length                  Length
		exact, imperial, metric string
	}{
		{0, "0 in", "0 in", "0 mm"},
		{8 * ft, "8 ft", "8 ft", "2.438 m"},
		{6*ft + 6*in, "6 ft 6 in", "6 ft 6 in", "1.981 m"},
		{in * 7 / 2, "3-1/2 in", "3-1/2 in", "89 mm"},
		{in / 2, "1/2 in", "1/2 in", "13 mm"},
		{7*ft + in/2, "7 ft 0-1/2 in", "7 ft 0-1/2 in", "2.146 m"},
		{7*ft + 9*in + 29*SixtyFourth, "7 ft 9-29/64 in", "7 ft 9-7/16 in", "2.374 m"},
		{7*ft + 9*in + 62*SixtyFourth, "7 ft 9-31/32 in", "7 ft 10 in", "2.387 m"}, // half up
		{12*in - SixtyFourth, "11-63/64 in", "1 ft", "304 mm"},
		{2400 * mm, "2400 mm", "7 ft 10-1/2 in", "2.400 m"},
		{2374900001, "2374.900001 mm", "7 ft 9-1/2 in", "2.375 m"},
		{999*mm + 500_000, "999.5 mm", "3 ft 3-3/8 in", "1.000 m"},
		{999*mm + 499_999, "999.499999 mm", "3 ft 3-3/8 in", "999 mm"},
		{1, "0.000001 mm", "0 in", "0 mm"},
		{-1, "-0.000001 mm", "0 in", "0 mm"},
		{-(3*ft + in/32), "-3 ft 0-1/32 in", "-3 ft 0-1/16 in", "-915 mm"},
		{-2400 * mm, "-2400 mm", "-7 ft 10-1/2 in", "-2.400 m"},
	} {
		if c.length.String() != c.exact || c.length.Imperial() != c.imperial || c.length.Metric() != c.metric {
			t.Errorf("%d nm prints %q, %q, %q; want %q, %q, %q", int64(c.length),
				c.length, c.length.Imperial(), c.length.Metric(), c.exact, c.imperial, c.metric)
		}
	}
}

func TestIn(t *testing.T) {
	for _, c := range []struct {
		got, want string
	}{
		{(96 * in).Inches(3), "96 in"},
		{Must("5.5 in").Inches(3), "5.5 in"},
		{(30 * in / 11).Inches(3), "2.727 in"}, // [LAY-3] the space between 12 boards of 5.5 in in 96 in
		{(54*ft + 6*in).In(Foot, 2), "54.5 ft"},
		{(20 * in).In(Foot, 0), "2 ft"},
		{(18 * in).In(Foot, 0), "2 ft"}, // half away from zero
		{(-18 * in).In(Foot, 0), "-2 ft"},
		{(-1 * in).In(Foot, 0), "0 ft"},
		{(2400 * mm).In(Metre, 3), "2.4 m"},
		{Must("9.9996 in").Inches(3), "10 in"}, // the carry runs through
		{Length(5).In(Length(7), 6), "0.000005 mm"},
		{in.Inches(-1), "1 in"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// Nothing panics on the lengths furthest out.
func TestPrintExtremes(t *testing.T) {
	for _, l := range []Length{math.MaxInt64, math.MinInt64, math.MinInt64 + 1} {
		for _, s := range []string{l.String(), l.Imperial(), l.Metric(), l.Inches(20)} {
			if s == "" {
				t.Errorf("%d nm prints nothing", int64(l))
			}
		}
	}
	if got, want := Length(math.MinInt64).String(), "-9223372036854.775808 mm"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A printed decimal is within half a unit of its last place.
func TestInIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := lengths().Draw(t, "length")
		places := rapid.IntRange(0, 8).Draw(t, "places")
		text := l.Inches(places)
		got, ok := new(big.Rat).SetString(text[:len(text)-len(" in")])
		if !ok {
			t.Fatalf("%q is no number", text)
		}
		off := got.Sub(got, big.NewRat(int64(l), int64(Inch)))
		half := big.NewRat(1, 2)
		for range places {
			half.Mul(half, big.NewRat(1, 10))
		}
		if off.Abs(off).Cmp(half) > 0 {
			t.Fatalf("%d nm prints %q, off by %v in", int64(l), text, off)
		}
	})
}
