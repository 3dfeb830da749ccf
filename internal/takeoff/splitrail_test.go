package takeoff_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// Three rails of 11 ft that lap 1 ft, along two legs of whole bays and a short
// one each.
func TestSplitRailTold(t *testing.T) {
	tells(t, "split-rail", count(t, site.Site{Runs: []site.Run{run("0,0 0,44 64.5,44")}}, fenceOf(spec.SplitRail, "4 ft", ""), nil))
}

// Common practice: rails of 11 ft are set 10 ft on centre, and of 10 ft that lap
// 1 ft, 9 ft. A piece is its bay and the lap; the rest by hand.
func TestSplitRails(t *testing.T) {
	for _, c := range []struct{ name, height, runs, details, want string }{
		{"whole rails", "3 ft", "40 ft", "", "8"},                                  // 4 bays x 2
		{"two lengths of post spacing", "3 ft", "36 ft", "rail_length=10 ft", "8"}, // 4 bays of 9 ft x 2
		{"by height", "4 ft", "40 ft", "", "12"},
		{"by choice", "4 ft", "40 ft", "rails=2", "8"},
		// 4 ft and the lap are 5 ft: two out of 11 ft, so 2 x (2 + 1/2).
		{"a short bay", "3 ft", "24 ft", "", "5"},
		{"two short bays", "3 ft", "24 ft, 24 ft", "", "10"},
		// 4-1/2 ft and the lap are 5-1/2 ft: two and a cut pass 11 ft.
		{"a hair too long", "3 ft", "24.5 ft", "", "6"},
	} {
		k := count(t, straight(strings.Split(c.runs, ", ")...), fenceOf(spec.SplitRail, c.height, c.details), nil)
		for _, l := range k.Lines {
			if l.Category == takeoff.Rails && l.Order.String() != c.want {
				t.Errorf("%s: %s rails, want %s", c.name, l.Order, c.want)
			}
			if l.Category == takeoff.Fasteners || l.Category == takeoff.Concrete || l.Category == takeoff.Caps {
				t.Errorf("%s: rails in mortises of tamped posts take no %s", c.name, l.Item)
			}
		}
	}
}

// Rails lie along the grade: 3, 4, 5 on a slope of 3 in 4.
func TestSplitRailOnASlope(t *testing.T) {
	st := straight("24 ft")
	st.Runs[0].Ground = []site.GroundPoint{{}, {Station: 24 * ft, Elevation: 18 * ft}}
	k := count(t, st, fenceOf(spec.SplitRail, "3 ft", ""), nil)
	want := "3 equal bays, the first P1 to P2 (run 1, 0 in to 8 ft): square root of ((96 in)^2 + (72 in)^2) + 1 ft of lap = 11 ft."
	if got := toldOf(k, "split.slope-rail"); len(got) != 1 || got[0] != want {
		t.Errorf("%q\nwant %s", got, want)
	}
}

func TestBadSplitRail(t *testing.T) {
	refuses(t, "none", fenceOf(spec.SplitRail, "4 ft", ""))
	for _, c := range []struct {
		name, details string
		change        func(*spec.Spec)
		want          []string
	}{
		{"details", "rails=0, rail_wood=steel", func(*spec.Spec) {}, []string{
			"spec.details.rails: expected between 1 and 6, found 0",
			`spec.details.rail_wood: "steel" is not known here; expected cedar, locust, oak, pine, spruce`}},
		{"too far apart", "rail_length=10 ft", func(s *spec.Spec) { s.Layout.MaxBay = 10 * ft }, []string{
			"spec.layout.max_bay: rails of 10 ft that lap 1 ft reach over 9 ft, found 10 ft"}},
		{"all lap", "rail_length=4 ft, lap=3 ft", func(s *spec.Spec) { s.Layout.MaxBay = 4 * ft }, []string{
			"spec.details.lap: a lap of 3 ft leaves 1 ft of a rail of 4 ft between post centres; expected 2 ft or more"}},
		{"hang", "", func(s *spec.Spec) { s.Layout.Hang, s.Slope.AlongGrade = spec.Lapped, new(false) }, []string{
			"spec.layout.hang: split rails lap in their posts' mortises; expected free, found lapped",
			"spec.slope.along_grade: rails lie along the grade, so bays are measured along it; expected true"}},
		{"fill", "", func(s *spec.Spec) { s.Slope.Fill = spec.KickBoard }, []string{
			"spec.slope.fill: split rails leave the ground open; expected leave or refuse, found kick-board"}},
		{"steps", "", func(s *spec.Spec) { s.Slope.Mode = spec.Stepped }, []string{
			"spec.slope.mode: split rails go through their posts from bay to bay; expected racked, found stepped"}},
		{"extras", "", func(s *spec.Spec) { s.Extras = spec.Extras{CapBoard: "2x6", Trim: "1x4", KickBoard: "2x6"} }, []string{
			"spec.extras.trim: trim stands along the top of boards; Split rail has none",
			"spec.extras.cap_board: Split rail carries no cap board; leave it out",
			"spec.extras.kick_board: Split rail carries no kick board; leave it out"}},
		{"boards", "", func(s *spec.Spec) { s.Boards.Gap = measure.Inch }, []string{"spec.boards: Split rail has no boards; leave them out"}},
	} {
		refuses(t, c.name, fenceOf(spec.SplitRail, "4 ft", c.details, c.change), c.want...)
	}
}

// Rails cover every bay and the lap, no piece is longer than a rail, and what is
// bought is never more than a rail for every piece.
func TestSplitRailsCoverBays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		details := fmt.Sprintf("rail_length=%d in, lap=%d in", rapid.IntRange(72, 140).Draw(t, "rail"), rapid.IntRange(0, 24).Draw(t, "lap"))
		s := fenceOf(spec.SplitRail, "4 ft", details, func(s *spec.Spec) {
			s.Layout.Method = rapid.SampledFrom([]spec.Method{spec.Even, spec.Remainder, spec.Feathered}).Draw(t, "method")
			s.Posts.Stock = []measure.Length{20 * ft}
		})
		l, k := counted(t, drawComb(t), s, nil)
		long, lap := s.Details.Length("rail_length"), s.Details.Length("lap")
		var needed measure.Length
		for _, b := range l.Bays {
			along := b.Width
			if !l.Stretches[b.Stretch].Stepped {
				along = measure.Hypot(b.Width, b.Rise)
			}
			needed += 3 * (along + lap)
		}
		plan, pieces := k.Cuts[0].Plan, measure.Length(3*len(l.Bays))
		if off := (plan.Used - needed).Abs(); off > pieces*(measure.Sixteenth/2+measure.Millimetre/1000) {
			t.Fatalf("pieces of %s, needed %s", plan.Used, needed)
		}
		if plan.Bought > pieces*long || plan.Bought < plan.Used {
			t.Fatalf("bought %s for %d pieces of %s in all", plan.Bought, pieces, plan.Used)
		}
	})
}
