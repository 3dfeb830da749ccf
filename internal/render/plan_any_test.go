package render

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// Any site that can be laid out can be drawn.
func TestAnyPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, l := anySite(t)
		checkPlan(t, st, l, PlanOptions{})
	})
}

// anySite is a site that can be laid out.
func anySite(t *rapid.T) (site.Site, *layout.Layout) {
	var st site.Site
	for i := range rapid.IntRange(1, 4).Draw(t, "runs") {
		r := site.Run{ID: fmt.Sprint("r", i), Closed: rapid.Bool().Draw(t, "closed")}
		size := rapid.SampledFrom([]int64{10, 100, 1500}).Draw(t, "size")
		at := rapid.Custom(func(t *rapid.T) measure.Point {
			inches := rapid.Int64Range(0, size*12)
			return measure.Point{East: measure.Length(inches.Draw(t, "east")) * measure.Inch, North: measure.Length(inches.Draw(t, "north")) * measure.Inch}
		})
		r.Vertices = rapid.SliceOfN(at, 2, 6).Draw(t, "vertices")
		r.Start.TieIn = rapid.Bool().Draw(t, "wall")
		if rapid.Bool().Draw(t, "gated") {
			r.Gates = []site.Gate{{ID: fmt.Sprint("g", i), Station: measure.Foot, Width: 3 * measure.Foot, Leaves: rapid.IntRange(1, 2).Draw(t, "leaves"), Swing: site.Side(rapid.IntRange(0, 1).Draw(t, "swing"))}}
			r.Gates[0].Slides = r.Gates[0].Leaves == 1 && rapid.Bool().Draw(t, "slides")
			if r.Gates[0].Slides {
				r.Gates[0].Hinge = site.HingeFinish
			}
		}
		st.Runs = append(st.Runs, r)
	}
	l, err := layout.Plan(st, spec.Spec{Height: 6 * measure.Foot})
	if err != nil {
		t.Skip(err)
	}
	return st, l
}

// And so can anything that stands on it and lies around it, right or wrong.
func TestAnyDressedPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, l := anySite(t)
		place := rapid.Custom(func(t *rapid.T) measure.Length {
			return measure.Length(rapid.Int64Range(-20, 1700).Draw(t, "feet")) * measure.Foot
		})
		for i := range rapid.IntRange(0, 3).Draw(t, "obstacles") {
			o := site.Obstacle{ID: fmt.Sprint("o", i), Clearance: place.Draw(t, "clearance").Abs() / 20}
			for range rapid.IntRange(0, 4).Draw(t, "vertices") {
				o.Path = append(o.Path, measure.Point{East: place.Draw(t, "east"), North: place.Draw(t, "north")})
			}
			st.Obstacles = append(st.Obstacles, o)
		}
		for i := range st.Runs {
			r := &st.Runs[i]
			for range rapid.IntRange(0, 2).Draw(t, "neighbours") {
				r.Neighbours = append(r.Neighbours, site.Neighbour{From: place.Draw(t, "from"), To: place.Draw(t, "to"),
					Gap: place.Draw(t, "gap") / 50, Side: site.Side(rapid.IntRange(0, 1).Draw(t, "side"))})
			}
			r.Chords = rapid.SliceOfN(rapid.IntRange(-1, 7), 0, 4).Draw(t, "chords")
		}
		for i := range rapid.IntRange(0, 4).Draw(t, "barred") {
			l.Barred = append(l.Barred, layout.Barred{Run: rapid.IntRange(-1, 4).Draw(t, "run"), ID: fmt.Sprint("k", i), From: place.Draw(t, "from"), To: place.Draw(t, "to")})
		}
		for i := range l.Posts {
			l.Posts[i].Existing = rapid.IntRange(0, 9).Draw(t, "kept") == 0
		}
		for i := range l.Bays {
			l.Bays[i].Rise = place.Draw(t, "rise") / 800
		}
		for i := range l.Stretches {
			l.Stretches[i].Stepped = rapid.Bool().Draw(t, "stepped")
		}
		checkPlan(t, st, l, PlanOptions{})
	})
}
