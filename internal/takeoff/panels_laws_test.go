package takeoff_test

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// drawComb is some straight runs in whole eighths of an inch, sometimes on a
// slope.
func drawComb(t *rapid.T) site.Site {
	var lengths []string
	for range rapid.IntRange(1, 5).Draw(t, "runs") {
		lengths = append(lengths, fmt.Sprintf("%d/8 in", rapid.IntRange(8*36, 8*700).Draw(t, "eighths")))
	}
	st := straight(lengths...)
	if rapid.Bool().Draw(t, "hill") {
		for i, r := range st.Runs {
			rise := r.Length() * measure.Length(rapid.IntRange(-20, 20).Draw(t, "percent")) / 100
			st.Runs[i].Ground = []site.GroundPoint{{}, {Station: r.Length(), Elevation: rise}}
		}
	}
	return st
}

func drawPanels(t *rapid.T) spec.Spec {
	material := rapid.SampledFrom([]string{"ornamental-metal", "vinyl", "wood"}).Draw(t, "material")
	details := fmt.Sprintf("material=%s, panel_width=%d in, cut_loss=%d/8 in, least_offcut=%d in, reuse_offcuts=true", material,
		rapid.IntRange(36, 100).Draw(t, "panel"), rapid.IntRange(0, 30).Draw(t, "loss"), rapid.IntRange(0, 36).Draw(t, "least"))
	return fenceOf(spec.Panels, "5 ft", details, func(s *spec.Spec) {
		s.Layout.Method = rapid.SampledFrom([]spec.Method{spec.Even, spec.Remainder, spec.Feathered}).Draw(t, "method")
		s.Slope.Mode = rapid.SampledFrom([]spec.SlopeMode{spec.Racked, spec.Stepped}).Draw(t, "mode")
		s.Posts.Stock = []measure.Length{20 * ft}
	})
}

func panelsOf(t *rapid.T, k *takeoff.Takeoff) int {
	for _, l := range k.Lines {
		if n, _, whole := l.Order.Int64(0); l.Category == takeoff.Panels && whole {
			return int(n)
		}
	}
	t.Fatal("no panels")
	return 0
}

// Every bay has a panel, whole or cut from one by a plan that keeps its own
// rules; using off-cuts again never buys more than not, which is a panel a bay;
// and one that a bay takes never is wider than a whole.
func TestPanelsCoverBays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, s := drawComb(t), drawPanels(t)
		l, k := counted(t, st, s, nil)
		width, loss, least := s.Details.Length("panel_width"), s.Details.Length("cut_loss"), s.Details.Length("least_offcut")
		var needed []measure.Length
		for _, b := range l.Bays {
			if b.Rail > width {
				t.Fatalf("a bay takes a panel of %s, and they are %s", b.Rail, width)
			}
			if b.Rail+measure.Sixteenth/2 < width {
				needed = append(needed, b.Rail)
			}
		}
		bought := panelsOf(t, k)
		fromCuts := 0
		var cuts []measure.Length
		for _, c := range k.Cuts {
			for _, p := range c.Plan.Patterns {
				left := width
				for i, piece := range p.Cuts {
					if i > 0 {
						left -= loss
						if left < least {
							t.Fatalf("%v: an off-cut of %s is scrap under %s", p.Cuts, left, least)
						}
					}
					left -= piece
					cuts = append(cuts, slices.Repeat([]measure.Length{piece}, p.Times)...)
				}
				if left < 0 {
					t.Fatalf("%v are cut from %s", p.Cuts, width)
				}
				fromCuts += p.Times
			}
		}
		if bought != len(l.Bays)-len(needed)+fromCuts || len(cuts) != len(needed) {
			t.Fatalf("%d panels for %d bays, %d of them narrower and %d cut, from %d", bought, len(l.Bays), len(needed), len(cuts), fromCuts)
		}
		slices.Sort(needed)
		slices.Sort(cuts)
		for i := range cuts {
			if (cuts[i] - needed[i]).Abs() > measure.Sixteenth/2 {
				t.Fatalf("cut to %s, needed %s", cuts[i], needed[i])
			}
		}
		s.Details["reuse_offcuts"] = "false"
		_, each := counted(t, st, s, nil)
		if n := panelsOf(t, each); bought > n || n != len(l.Bays) {
			t.Fatalf("%d panels with off-cuts used again, %d without, for %d bays", bought, n, len(l.Bays))
		}
	})
}
