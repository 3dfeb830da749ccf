package takeoff

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// How a racked rail came about, in figures that a calculator checks. The bays
// of 20 % whose rails are just 8 ft long are common practice: 94.14 in between
// line posts, 92.39 in beside a 4x4 terminal post, 93.45 in with a 2x4 cut plumb.
func TestRackedRails(t *testing.T) {
	for _, c := range []struct {
		name, width, rise string
		bay               int
		ends              spec.RailEnds
		rail, told        string
	}{
		{"13, 84, 85", "84 in", "13 in", 1, spec.SquareEnds, "85 in",
			"P2 to P3 (run 1, 7 ft to 14 ft): (7 ft on centre) x square root of (1 + (13 in / 84 in)^2) = 7 ft 1 in."},
		{"falling, beside a terminal post", "84 in", "-13 in", 0, spec.SquareEnds, "2203.978833 mm", // (84 + 1.75) x 85/84 = 86.7708 in
			"P1 to P2 (run 1, 0 in to 7 ft): (7 ft on centre + 1-3/4 in past the post centres) x square root of (1 + (13 in / 84 in)^2) = 86.7708 in, marked to 1/16 in: 7 ft 2-3/4 in."},
		{"cut plumb", "84 in", "13 in", 1, spec.PlumbEnds, "2172.758333 mm", // 85 + 3.5 x 13/84 = 85.5417 in
			"P2 to P3 (run 1, 7 ft to 14 ft): (7 ft on centre) x square root of (1 + (13 in / 84 in)^2) + 0.5417 in for ends cut plumb = 85.5417 in, marked to 1/16 in: 7 ft 1-9/16 in."},
		{"20 %", "94.14 in", "18.828 in", 1, spec.SquareEnds, "96 in", ""},
		{"20 %, beside a terminal post", "92.39 in", "18.478 in", 2, spec.SquareEnds, "96 in", ""},
		{"20 %, cut plumb", "93.45 in", "18.69 in", 1, spec.PlumbEnds, "96 in", ""},
	} {
		l := hill(strings.Join([]string{c.width, c.width, c.width}, ", "))
		l.Bays[c.bay].Rise, l.Bays[c.bay].Rail = measure.Must(c.rise), measure.Must(c.rail)
		s := sixFoot(func(s *spec.Spec) { s.Slope.RailEnds, s.Rails.Stock = c.ends, []measure.Length{9 * ft} })
		k := tookOff(t, l, s, nil)
		if c.told != "" {
			says(t, k, "rail-2x4-9ft", c.told)
		}
		steps := slopes(k)
		for _, st := range steps {
			want := float64(measure.Must(c.rail)) / float64(measure.Inch)
			if got := along(t, st); math.Abs(got-want) > 0.01 {
				t.Errorf("%s: the step's figures make %.4f in, the rail is %.4f in", c.name, got, want)
			}
		}
		if len(steps) != 1 {
			t.Errorf("%s: %d steps tell of the slope", c.name, len(steps))
		}
	}
	// Over an outside corner: (84 + 1.75 + 1.5) x 85/84 = 88.2887 in.
	corner := hill("84 in, 84 in")
	corner.Bays[0].Rise, corner.Bays[0].Rail = 13*measure.Inch, measure.Must("2242.532738 mm")
	corner.Stretches[0].StartEnd.Corner, corner.Stretches[0].StartEnd.Covers = layout.OutsideCorner, true
	says(t, tookOff(t, corner, sixFoot(), nil), "rail-2x4-16ft",
		"P1 to P2 (run 1, 0 in to 7 ft): (7 ft on centre + 3-1/4 in past the post centres) x square root of (1 + (13 in / 84 in)^2) = 88.2887 in, marked to 1/16 in: 7 ft 4-5/16 in.")
	level := hill("7 ft, 7 ft")
	level.Bays[0].Rise, level.Stretches[0].Stepped = 5*measure.Inch, true
	if told := slopes(tookOff(t, level, sixFoot(), nil)); len(told) > 0 {
		t.Errorf("rails of a stepped bay are level: %s", told[0].Sentence())
	}
}

// On any ground the steps' figures make the rails that the layout gives, within
// what a nanometre more or less of them makes, and every racked job has some.
func TestSlopeStepsAgreeWithTheLayout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		inches := func(low, high int, name string) measure.Length {
			return measure.Length(rapid.IntRange(low, high).Draw(t, name)) * measure.Inch
		}
		north := inches(300, 900, "north")
		r := site.Run{ID: "yard", Vertices: []measure.Point{{}, {North: north}, {North: north, East: inches(300, 900, "east")}},
			Face: site.Side(rapid.IntRange(0, 1).Draw(t, "face")),
			Ground: []site.GroundPoint{{}, {Station: inches(100, 400, "station"), Elevation: inches(1, 40, "hill")},
				{Station: inches(501, 590, "further"), Elevation: inches(-60, 0, "hollow")}}}
		r.Start.TieIn = rapid.Bool().Draw(t, "wall")
		s := sixFoot(func(s *spec.Spec) {
			s.Slope.RailEnds = rapid.SampledFrom([]spec.RailEnds{spec.SquareEnds, spec.PlumbEnds}).Draw(t, "ends")
			s.Posts.Stock = []measure.Length{20 * ft}
		})
		l, err := layout.Plan(site.Site{Runs: []site.Run{r}}, s)
		if err != nil {
			t.Fatal(err)
		}
		k, err := Count(l, s, nil)
		if err != nil {
			t.Fatal(err)
		}
		told := slopes(k)
		if len(told) == 0 {
			t.Fatal("nothing tells of the slope")
		}
		for _, st := range told {
			rail := st.Unrounded
			if rail == "" {
				rail = st.Result
			}
			want := float64(measure.Must(rail)) / float64(measure.Inch)
			if got := along(t, st); math.Abs(got-want) > 1e-6 {
				t.Fatalf("%s: the figures make %.7f in", st.Sentence(), got)
			}
		}
	})
}

// slopes are the different steps that tell of a rail on a slope.
func slopes(k *Takeoff) []Step {
	var steps []Step
	for _, line := range k.Lines {
		for _, st := range line.Derivation.Steps {
			same := func(s Step) bool { return s.Sentence() == st.Sentence() }
			if st.Rule == "rail.slope" && !slices.ContainsFunc(steps, same) {
				steps = append(steps, st)
			}
		}
	}
	return steps
}

// along is the rail in inches that such a step's figures make.
func along(t rapid.TB, st Step) float64 {
	inch := func(name string) float64 {
		in, has := st.input(name)
		if !has {
			return 0
		}
		return float64(measure.Must(in.Value+" "+in.Unit)) / float64(measure.Inch)
	}
	return (inch("on centre")+inch("past"))*math.Sqrt(1+math.Pow(inch("rise")/inch("on centre"), 2)) + inch("plumb")
}
