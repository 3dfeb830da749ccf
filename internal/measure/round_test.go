package measure

import (
	"testing"

	"pgregory.net/rapid"
)

func TestRoundTo(t *testing.T) {
	for _, c := range []struct{ l, unit, want Length }{
		{7, 10, 10}, {5, 10, 10}, {4, 10, 0}, {0, 10, 0},
		{-5, 10, -10}, {-4, 10, 0}, {15, 10, 20}, {25, 10, 30},
		{7, 1, 7}, {7, 0, 7}, {7, -2, 7},
		{1<<63 - 1, 10, 1<<63 - 1}, // would pass int64
		{1<<63 - 1, 1, 1<<63 - 1},
		{-1 << 63, 10, -1 << 63}, {-1 << 63, 1 << 62, -1 << 63},
		{1<<63 - 1, 1<<63 - 1, 1<<63 - 1}, {-1 << 62, 1<<63 - 1, -(1<<63 - 1)}, {-1<<62 + 1, 1<<63 - 1, 0}, {1<<62 - 1, 1<<63 - 1, 0},
	} {
		if got := RoundTo(c.l, c.unit); got != c.want {
			t.Errorf("RoundTo(%d, %d) = %d, want %d", c.l, c.unit, got, c.want)
		}
	}
}

// 54 ft 6 in in 7 even bays prints as six of 7 ft 9-7/16 in and one, the
// fourth, of 7 ft 9-3/8 in (common practice; issue of the main job, trade rules
// section 3).
//
//	|--1--|--2--|--3--|--4--|--5--|--6--|--7--|   54 ft 6 in
func TestPrintedWidthsOfSevenEvenBays(t *testing.T) {
	whole := Must(`54' 6"`)
	printed := PrintedWidths{Unit: Sixteenth}
	var sum Length
	for i, width := range evenly(whole, 7) {
		got := printed.Next(width)
		want := "7 ft 9-7/16 in"
		if i == 3 {
			want = "7 ft 9-3/8 in"
		}
		if got.String() != want {
			t.Errorf("bay %d prints %s, want %s", i+1, got, want)
		}
		sum += got
	}
	if sum != whole {
		t.Errorf("the printed bays add up to %s, want %s", sum, whole)
	}
}

// evenly splits whole into n widths that differ by a nanometre at most.
func evenly(whole Length, n int) []Length {
	widths := make([]Length, n)
	for i := range widths {
		widths[i] = whole*Length(i+1)/Length(n) - whole*Length(i)/Length(n)
	}
	return widths
}

func TestPrintedWidthsDriftNowhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		widths := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Length {
			return Length(rapid.Int64Range(1, int64(100*ft)).Draw(t, "nm"))
		}), 0, 50).Draw(t, "widths")
		unit := rapid.SampledFrom([]Length{Sixteenth, SixtyFourth, Millimetre, Inch, Nanometre}).Draw(t, "unit")
		printed := PrintedWidths{Unit: unit}
		var exact, shown Length
		for i, w := range widths {
			exact += w
			got := printed.Next(w)
			shown += got
			if got%unit != 0 {
				t.Fatalf("bay %d prints %d nm, no multiple of %d", i, got, unit)
			}
			if shown != RoundTo(exact, unit) {
				t.Fatalf("the first %d bays print to %d nm, their station to %d", i+1, shown, RoundTo(exact, unit))
			}
			if off := (got - w).Abs(); off > unit || off == unit && unit > 1 {
				t.Fatalf("bay %d of %d nm prints %d, off by a whole unit", i, w, got)
			}
		}
	})
}
