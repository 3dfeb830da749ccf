package layout_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Bays add up exactly, printed bays to the printed stretch; none passes its
// limit and no rail the stock. Where no keep-out and no change of grade moves
// posts there are as few bays as reach, and those that share a rest differ by a
// nanometre at most.
func TestBayLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, f, l := drawPlan(t)
		next := 0
		for _, st := range l.Stretches {
			if st.FirstBay != next || st.Bays < 1 {
				t.Fatalf("stretch from bay %d of %d, want %d", st.FirstBay, st.Bays, next)
			}
			next += st.Bays
			bays := l.Bays[st.FirstBay:next]
			addUp(t, st, bays)
			for i, b := range bays {
				if b.Width > b.Limit || b.Limit > f.Layout.MaxBay {
					t.Errorf("bay %d of %s is %s, the limit %s, the spec's %s", i, st.Method, b.Width, b.Limit, f.Layout.MaxBay)
				}
				if b.Rail > f.Layout.RailStock || b.Rail < b.Width {
					t.Errorf("bay %d of %s takes a rail of %s from %s", i, b.Width, b.Rail, f.Layout.RailStock)
				}
				if most := trueRail(f, l, st, i); most > float64(f.Layout.RailStock)+100 {
					t.Errorf("bay %d of %s rising %s takes a rail of %.0f nm from %d", i, b.Width, b.Rise, most, f.Layout.RailStock)
				}
				from, to := l.Posts[b.Start], l.Posts[b.End]
				if i == 0 && b.Start != st.StartEnd.Post || i == st.Bays-1 && b.End != st.FinishEnd.Post || i > 0 && b.Start != bays[i-1].End {
					t.Errorf("bay %d from post %d to %d does not follow", i, b.Start, b.End)
				}
				if st.Bays > 1 && b.Width < (from.Width+to.Width)/2 {
					t.Errorf("posts of %s and %s overlap in a bay of %s", from.Width, to.Width, b.Width)
				}
			}
			if !moved(s, f, l, st) {
				fewestAndEqual(t, st, bays)
			}
		}
		if next != len(l.Bays) {
			t.Errorf("%d bays in stretches, %d in all", next, len(l.Bays))
		}
	})
}

func addUp(t *rapid.T, st layout.Stretch, bays []layout.Bay) {
	var sum, printed measure.Length
	for _, b := range bays {
		sum, printed = sum+b.Width, printed+b.Printed
		if (b.Printed-b.Width).Abs() > measure.Sixteenth || b.Printed%measure.Sixteenth != 0 {
			t.Errorf("%s is printed as %s", b.Width, b.Printed)
		}
	}
	if sum != st.Length() {
		t.Errorf("bays add up to %s, the stretch is %s", sum, st.Length())
	}
	if want := measure.RoundTo(st.Length(), measure.Sixteenth); printed != want {
		t.Errorf("printed bays add up to %s, the printed stretch is %s", printed, want)
	}
}

// trueRail is the length of bay i's rail along its slope.
func trueRail(f spec.Spec, l *layout.Layout, st layout.Stretch, i int) float64 {
	b := l.Bays[st.FirstBay+i]
	past := measure.Length(0)
	for _, e := range []struct {
		here bool
		layout.StretchEnd
	}{{i == 0, st.StartEnd}, {i == st.Bays-1, st.FinishEnd}} {
		if e.here && e.Terminal && *f.Layout.TerminalLimit {
			past += l.Posts[e.Post].Width / 2
			if e.Covers && e.Corner == layout.OutsideCorner {
				past += f.RailThickness()
			}
		}
	}
	if st.Stepped || b.Rise == 0 {
		return float64(b.Width + past)
	}
	slope := float64(b.Rise.Abs()) / float64(b.Width)
	rail := float64(b.Width+past) * math.Hypot(1, slope)
	if f.Slope.RailEnds == spec.PlumbEnds {
		rail += float64(f.RailDepth()) * slope
	}
	return rail
}

// fewestAndEqual: with one bay less, the limits would not reach; bays that are
// not at their own limit are equal, and as printed they differ by no more than
// 1/16 in.
func fewestAndEqual(t *rapid.T, st layout.Stretch, bays []layout.Bay) {
	var least, limits, leastPrinted measure.Length
	for _, b := range bays {
		limits += b.Limit
		if b.Width != b.Limit && (least == 0 || b.Width < least) {
			least, leastPrinted = b.Width, b.Printed
		}
	}
	// Taking an inner bay away leaves the end bays' limits as they are.
	if len(bays) > 2 && limits-bays[1].Limit >= st.Length() {
		t.Errorf("%d bays where one less would reach over %s", len(bays), st.Length())
	}
	for i, b := range bays {
		switch {
		case b.Width == b.Limit:
		case b.Width-least > 1:
			t.Errorf("%s: bay %d of %s is neither full nor as wide as the least, %s", st.Method, i, b.Width, least)
		case (b.Printed - leastPrinted).Abs() > measure.Sixteenth:
			t.Errorf("%s: bay %d is printed %s, another %s", st.Method, i, b.Printed, leastPrinted)
		}
	}
}
