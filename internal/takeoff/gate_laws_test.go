package takeoff

import (
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// drawGate is a gate of any family, frame and way to open, by its opening.
func drawGate(t *rapid.T) func(opening measure.Length) (*Takeoff, *layout.Layout) {
	family := rapid.SampledFrom([]spec.Family{spec.VerticalBoards, spec.HorizontalBoards, spec.ChainLink, spec.Panels, spec.SplitRail, spec.Wire}).Draw(t, "family")
	s := spec.Spec{Family: family, Height: measure.Length(rapid.IntRange(36, 72).Draw(t, "height")) * measure.Inch}
	if family != spec.VerticalBoards || rapid.Bool().Draw(t, "steel") {
		s.Gates.FrameSize = rapid.SampledFrom([]section.Section{"1.66od", "1.9od", "2sq", "1sq"}).Draw(t, "tube")
	}
	if family == spec.VerticalBoards && s.Gates.FrameSize != "" {
		s.Gates.Frame = spec.SteelFrame
		s.Boards.Pattern = rapid.SampledFrom([]spec.Pattern{spec.SideBySide, spec.BoardOnBoard}).Draw(t, "pattern")
		if s.Boards.Pattern == spec.BoardOnBoard {
			s.Boards.Overlap = measure.Inch
		}
	}
	leaves := rapid.IntRange(1, 2).Draw(t, "leaves")
	wood := family == spec.VerticalBoards && s.Gates.Frame == ""
	slides := family != spec.Wire && !wood && rapid.Bool().Draw(t, "slides")
	if slides {
		leaves = 1
	}
	s = s.WithDefaults()
	return func(opening measure.Length) (*Takeoff, *layout.Layout) {
		r := site.Run{ID: "front", Vertices: []measure.Point{{}, {East: 100 * ft}}, Gates: []site.Gate{{ID: "way", Station: 40 * ft, Width: opening, Leaves: leaves, Slides: slides}}}
		l, err := layout.Plan(site.Site{Runs: []site.Run{r}}, s)
		if err != nil {
			t.Skip(err)
		}
		k, err := Count(l, s, nil)
		if wood && opening > 12*ft && err != nil {
			t.Skip(err) // no stick is as long as the brace
		}
		if err != nil {
			t.Fatal(err)
		}
		return k, l
	}
}

// A wider leaf weighs no less, and more as soon as it is an inch wider.
func TestWeightGrowsWithWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		gate := drawGate(t)
		inches := rapid.IntRange(36, 180).Draw(t, "opening")
		opening := measure.Length(inches) * measure.Inch
		more := measure.Length(rapid.IntRange(8, 64).Draw(t, "eighths more")) * measure.Inch / 8
		a, _ := gate(opening)
		b, l := gate(opening + more)
		less, wider := a.Leaves[0].Weight, b.Leaves[0].Weight
		if wider.Cmp(less) < 0 || !less.IsPos() {
			t.Fatalf("%s: %s lb, and %s wider %s lb", opening.Imperial(), less, more.Imperial(), wider)
		}
		if b.Leaves[0].Stile > 0 && more >= 2*measure.Inch && wider.Cmp(less) == 0 {
			t.Fatalf("%s: %s lb, and no more where a leaf is %s", opening.Imperial(), less, l.Openings[0].LeafWidth.Imperial())
		}
	})
}

// The pieces cut for frames are the frames, but for marking each to 1/16 in; they
// are bought; and every leaf has what it swings or slides on.
func TestGatePartsCover(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		gate := drawGate(t)
		k, l := gate(measure.Length(rapid.IntRange(36, 240).Draw(t, "opening")) * measure.Inch)
		var frames measure.Length
		pieces, hinges := 0, 0
		for _, f := range k.Leaves {
			frames += measure.Length(f.Leaves) * (2*f.Stile + measure.Length(f.Rails)*f.Rail + f.Brace + measure.Length(f.Uprights)*f.Upright)
			pieces += f.Leaves * (3 + f.Rails + f.Uprights)
			hinges += f.Leaves * f.Hinges
			if o := l.Openings[f.Opening]; f.Width > o.LeafWidth || f.Width < min(o.Clear, o.LeafWidth) || f.Boards > 0 && f.Ripped+f.Front == 0 && f.EndGap == 0 && measure.Length(f.Boards)*(11*measure.Inch/2) < f.Width {
				t.Fatalf("%d boards fill %s of a leaf of %s", f.Boards, f.Width.Imperial(), o.LeafWidth.Imperial())
			}
		}
		for _, c := range k.Cuts {
			if len(c.Use) < 11 || c.Use[:11] != "gate frames" {
				continue
			}
			if off := (c.Plan.Used - frames).Abs(); off > measure.Length(pieces)*measure.Sixteenth || c.Plan.Bought < c.Plan.Used {
				t.Fatalf("frames of %s are cut as %s from %s", frames.Imperial(), c.Plan.Used.Imperial(), c.Plan.Bought.Imperial())
			}
			frames = 0
		}
		if tube := k.Leaves[0].Frame != spec.WoodFrame; tube && frames > 0 {
			t.Fatalf("frames of %s are not cut", frames.Imperial())
		}
		counted := map[string]string{}
		for _, x := range k.Lines {
			counted[x.Default] = x.Net.String()
		}
		if l.Openings[0].Slides {
			if counted["gate-roller"] != "4" || counted["gate-latch"] != "" || hinges != 0 {
				t.Fatalf("a gate that slides takes %v", counted)
			}
			return
		}
		if got := counted["gate-hinge"] + counted["gate-hinge-box"] + counted["gate-hinge-bolt-hook"]; got != number(whole(hinges)) || counted["gate-latch"] != "1" {
			t.Fatalf("%s hinges of %d: %v", got, hinges, counted)
		}
	})
}
