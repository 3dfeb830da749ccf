package layout_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// With even bays and the limits off, a run cut at any of its line posts keeps
// every post: the two parts meet in a post that rails pass. So it does on one
// grade, stepped or racked.
func TestSplitLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		end := measure.Point{East: between(t, 20*ft, 400*ft, "east"), North: between(t, -400*ft, 400*ft, "north")}
		f := sixFoot(noLimit(spec.Layout{}))
		f.Posts.Stock = []measure.Length{8 * ft, 16 * ft, 24 * ft}
		f.Slope.Mode = rapid.SampledFrom([]spec.SlopeMode{spec.Racked, spec.Stepped}).Draw(t, "mode")
		whole := site.Run{ID: "a", Vertices: []measure.Point{{}, end}}
		length := whole.Length()
		if percent := measure.Length(rapid.IntRange(-50, 50).Draw(t, "percent")); percent != 0 {
			whole.Ground = []site.GroundPoint{{}, {Station: length, Elevation: length / 100 * percent}}
		}
		l, err := layout.Plan(site.Site{Runs: []site.Run{whole}}, f)
		if err != nil {
			t.Fatal(err)
		}
		cut := l.Posts[rapid.IntRange(1, len(l.Posts)-2).Draw(t, "post")]
		a := site.Run{ID: "a", Vertices: []measure.Point{{}, cut.At}}
		b := site.Run{ID: "b", Vertices: []measure.Point{cut.At, end}}
		if len(whole.Ground) > 0 {
			a.Ground = []site.GroundPoint{{}, {Station: a.Length(), Elevation: cut.Ground}}
			b.Ground = []site.GroundPoint{{Elevation: cut.Ground}, {Station: b.Length(), Elevation: whole.Ground[1].Elevation}}
		}
		m, err := layout.Plan(site.Site{Runs: []site.Run{a, b}}, f)
		if err != nil {
			t.Fatal(err)
		}
		if len(m.Posts) != len(l.Posts) || len(m.Bays) != len(l.Bays) {
			t.Fatalf("%d posts in two runs, %d in one", len(m.Posts), len(l.Posts))
		}
		for i, p := range l.Posts {
			q := m.Posts[i]
			if off := q.At.DistanceTo(p.At); off > 3 || (q.Ground-p.Ground).Abs() > 6 || (q.Top()-p.Top()).Abs() > 12 || q.Stock != p.Stock {
				t.Errorf("post %d of %d moved by %d nm\n%+v\n%+v", i, len(l.Posts), off, p, q)
			}
		}
	})
}

// Sites of what the first rules know, whose runs keep apart, are planned by
// every version alike.
func TestVersionLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, f := drawSite(t), drawSpec(t)
		for i := range s.Runs {
			r := &s.Runs[i]
			r.KeepOuts, r.Pins, r.Slopes, r.Ground, r.Chords, r.Start.LinePostOf = nil, nil, nil, nil, nil, ""
		}
		s.Obstacles, f.Slope, f.Alignment = nil, spec.Slope{}, spec.Alignment{}
		first, err := layout.PlanAs(1, s, f)
		apart := err == nil && !slices.ContainsFunc(first.Cautions, func(c layout.Caution) bool { return c.Code == "runs-cross" })
		for _, r := range s.Runs {
			if r.Closed { // not within the side that holds its start
				side := site.Run{Vertices: []measure.Point{r.Vertices[len(r.Vertices)-1], r.Vertices[1]}}
				apart = apart && !touches(site.Site{Runs: []site.Run{side}}, r.Vertices[0])
			}
			apart = apart && !slices.ContainsFunc(r.Vertices, func(v measure.Point) bool { return touches(s, v) })
		}
		if !apart {
			t.Skip("the second rules are for these")
		}
		second, err := layout.Plan(s, f)
		if err != nil {
			t.Fatal(err)
		}
		if hasCaution(second, "runs-cross") {
			t.Skip("two runs beside one another")
		}
		second.Cautions = slices.DeleteFunc(second.Cautions, func(c layout.Caution) bool { return c.Code == "holes-overlap" })
		if len(second.Cautions) == 0 {
			second.Cautions = first.Cautions[:0] // nil or empty alike
		}
		if got, want := fmt.Sprintf("%+v", second), fmt.Sprintf("%+v", first); got != want {
			t.Errorf("now  %s\nthen %s", got, want)
		}
	})
}

// touches reports a vertex that stands within 1/4 in of a leg, but for the
// leg's own ends.
func touches(s site.Site, v measure.Point) bool {
	for _, r := range s.Runs {
		for _, l := range r.Legs() {
			east, north := float64(l.To.East-l.From.East), float64(l.To.North-l.From.North)
			e, n := float64(v.East-l.From.East), float64(v.North-l.From.North)
			part := (e*east + n*north) / (east*east + north*north)
			off := math.Abs(e*north-n*east) / math.Hypot(east, north)
			if part > 0 && part < 1 && off < float64(in/4) && min(v.DistanceTo(l.From), v.DistanceTo(l.To)) > in/8 {
				return true
			}
		}
	}
	return false
}
