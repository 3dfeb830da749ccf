package takeoff

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
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
		steps := 0
		for _, line := range k.Lines {
			for _, st := range line.Derivation.Steps {
				if st.Rule != "rail.slope" {
					continue
				}
				steps++
				inch := func(name string) float64 {
					in, has := st.input(name)
					if !has {
						return 0
					}
					f, err := strconv.ParseFloat(in.Value, 64)
					if err != nil {
						t.Fatal(err)
					}
					if in.Unit == "mm" {
						f /= 25.4
					}
					return f
				}
				got := (inch("on centre")+inch("past"))*math.Sqrt(1+math.Pow(inch("rise")/inch("on centre"), 2)) + inch("plumb")
				if want := float64(measure.Must(c.rail)) / float64(measure.Inch); math.Abs(got-want) > 0.01 {
					t.Errorf("%s: the step's figures make %.4f in, the rail is %.4f in", c.name, got, want)
				}
			}
		}
		if steps != 1 {
			t.Errorf("%s: %d steps tell of the slope", c.name, steps)
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
	for _, line := range tookOff(t, level, sixFoot(), nil).Lines {
		for _, st := range line.Derivation.Steps {
			if st.Rule == "rail.slope" {
				t.Errorf("rails of a stepped bay are level: %s", st.Sentence())
			}
		}
	}
}
