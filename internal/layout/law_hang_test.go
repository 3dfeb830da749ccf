package layout_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// drawHung is a sound spec of what hangs between posts or free, its terminal
// posts often of another section, some of them driven.
func drawHung(t *rapid.T) spec.Spec {
	f := drawSpec(t)
	f.Layout.RailStock, f.Layout.MinBay = 0, new(measure.Length(rapid.IntRange(1, 24).Draw(t, "least"))*in)
	pair := rapid.SampledFrom([][2]section.Section{
		{"2.375od", "2.875od"}, {"2sq", "4sq"}, {"5vinyl", "5vinyl"}, {"tee", "6rd"}, {"4x4", "4x4"}, {"2sq", "12sq"},
	}).Draw(t, "posts")
	f.Posts.Size, f.Posts.TerminalSize = pair[0], pair[1]
	f.Concrete.Set = rapid.SampledFrom([]spec.Setting{spec.WetSet, spec.Driven}).Draw(t, "set")
	if rapid.Bool().Draw(t, "free") {
		f.Layout.Hang = spec.Free
		return f
	}
	f.Layout.Hang = spec.Between
	f.Layout.RailStock = measure.Length(rapid.IntRange(48, 120).Draw(t, "panel")) * in
	f.Layout.Insertion = measure.Length(rapid.IntRange(0, 8).Draw(t, "insertion")) * in
	f.Layout.BracketGap = measure.Length(rapid.IntRange(0, 3).Draw(t, "bracket")) * in / 4
	if rapid.Bool().Draw(t, "panels decide") {
		f.Layout.MaxBay = 20 * ft
	}
	return f
}

func planHung(t *rapid.T) (site.Site, spec.Spec, *layout.Layout) {
	s, f := drawSite(t), drawHung(t).WithDefaults()
	l, err := layout.Plan(s, f)
	if err != nil && fault.KindOf(err) == fault.Invalid {
		t.Skip("refused")
	}
	if err != nil {
		t.Fatal(err)
	}
	return s, f, l
}

// Bays add up, none passes its limit or the spec's, and what hangs in one is no
// longer than its stock: clear length and what goes into the posts less the
// brackets, along the slope. There are as few bays as reach.
func TestHungBayLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, f, l := planHung(t)
		for _, st := range l.Stretches {
			bays := l.Bays[st.FirstBay : st.FirstBay+st.Bays]
			addUp(t, st, bays)
			for i, b := range bays {
				if b.Width > b.Limit || b.Limit > f.Layout.MaxBay {
					t.Errorf("bay %d is %s, its limit %s, the spec's %s", i, b.Width, b.Limit, f.Layout.MaxBay)
				}
				if f.Layout.Hang == spec.Between && b.Rail > f.Layout.RailStock {
					t.Errorf("bay %d takes %s from %s", i, b.Rail, f.Layout.RailStock)
				}
				if off := math.Abs(float64(b.Rail) - hungLength(f, l, st, b)); off > 2000 {
					t.Errorf("bay %d of %s rising %s takes %s, off by %.0f nm", i, b.Width, b.Rise, b.Rail, off)
				}
				if *f.Slope.AlongGrade && !st.Stepped && measure.Hypot(b.Width, b.Rise) > f.Layout.MaxBay+10 {
					t.Errorf("bay %d is %s along the grade", i, measure.Hypot(b.Width, b.Rise))
				}
			}
			if !moved(s, f, l, st) {
				fewestAndEqual(t, st, bays)
			}
		}
	})
}

// hungLength is the length of what hangs in a bay between its posts, or of the
// bay itself where it hangs free.
func hungLength(f spec.Spec, l *layout.Layout, st layout.Stretch, b layout.Bay) float64 {
	plan := b.Width
	if f.Layout.Hang == spec.Between {
		plan += 2*(f.Layout.Insertion-f.Layout.BracketGap) - (l.Posts[b.Start].Width+l.Posts[b.End].Width)/2
	}
	if st.Stepped || b.Rise == 0 {
		return float64(plan)
	}
	slope := float64(b.Rise.Abs()) / float64(b.Width)
	long := float64(plan) * math.Hypot(1, slope)
	if f.Slope.RailEnds == spec.PlumbEnds {
		long += float64(f.RailDepth()) * slope
	}
	return long
}

// By the remainder method on level ground all panels of a stretch but one are
// full, unless the length is too short for the widest bay's sake.
func TestFullPanelsLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := mesh(between8(spec.Layout{Method: spec.Remainder, ShortEnd: rapid.SampledFrom([]spec.End{spec.Start, spec.Finish}).Draw(t, "end")}), spec.Posts{Size: "2sq", TerminalSize: "4sq"})
		f.Layout.MinBay = new(measure.Length(0))
		l, err := layout.Plan(site.Site{Runs: []site.Run{{ID: "a", Vertices: []measure.Point{{}, {East: between(t, 20*ft, 400*ft, "length")}}}}}, f)
		if err != nil {
			t.Fatal(err)
		}
		cut := 0
		for _, b := range l.Bays {
			if b.Rail != 8*ft {
				cut++
			}
		}
		if shared := len(l.Cautions); cut > 1 && shared == 0 {
			t.Errorf("%d cut panels among %d: %s", cut, len(l.Bays), widths(l.Bays, rail))
		}
	})
}

// Walked the other way it is the same fence.
func TestHungReverseLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { reverses(t, drawSite(t), drawHung(t)) })
}

// Terminal posts are of the terminal section at least, and others of the line
// posts'; each stands in the hole of its kind, or is driven, and none in another.
func TestTerminalLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, f, l := planHung(t)
		terminal := f.Posts.TerminalSize
		for i, p := range l.Posts {
			gate := p.Role >= layout.GateLatch
			switch {
			case gate && p.Width < terminal.Width(), p.Role.Terminal() && !gate && p.Size != terminal, !p.Role.Terminal() && p.Size != f.Posts.Size:
				t.Errorf("a %s post of %s at %+v", p.Role, p.Size, p.Visits)
			case !p.Existing && p.Hole.Driven() != f.Drives(p.Size):
				t.Errorf("a post of %s in a hole by %s", p.Size, p.Hole.Governs)
			case p.Hole.Driven() && (p.Hole.Diameter != p.Width || p.Hole.Gravel != 0 || p.Hole.Float != 0 || p.Hole.Depth != p.Hole.Embedment):
				t.Errorf("a driven post in %+v", p.Hole)
			}
			for _, q := range l.Posts[:i] {
				if apart := p.At.DistanceTo(q.At); apart < (p.Width+q.Width)/2-1 {
					t.Errorf("%s %+v and %s %+v stand %s apart", p.Role, p.Visits, q.Role, q.Visits, apart)
				}
			}
		}
	})
}
