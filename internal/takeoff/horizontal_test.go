package takeoff_test

import (
	"strings"
	"testing"

	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// lying is a spec of boards that lie, with a gap of 1/2 in.
func lying(height, details string, change ...func(*spec.Spec)) spec.Spec {
	gap := func(s *spec.Spec) { s.Boards.Gap = measure.Inch / 2 }
	return fenceOf(spec.HorizontalBoards, height, details, append([]func(*spec.Spec){gap}, change...)...)
}

// Boards over two bays where that is no dearer, joints staggered, the top course
// ripped, round an outside corner.
func TestHorizontalBoardsTold(t *testing.T) {
	offers := prices("board-1x6-8ft 6 each\nboard-1x6-12ft 8.50 each\nboard-1x6-16ft 12 each")
	tells(t, "horizontal-boards", count(t, site.Site{Runs: []site.Run{run("0,0 0,23.5 17,23.5")}}, lying("6 ft", "span=2, rip_top=true"), offers))
}

// LUM-4: 96 in of 5-1/2 in boards are 17.45, so 18: here 17 whole courses and one
// ripped. The others by hand: 70 in with gaps of 1/2 in are (70 + 1/2) / 6 = 11.75.
func TestCourses(t *testing.T) {
	tight := func(s *spec.Spec) { s.Boards.Gap = 0 }
	for _, c := range []struct {
		name, height, details string
		change                func(*spec.Spec)
		courses, rest         string
	}{
		{"LUM-4", "98 in", "rip_top=true", tight,
			"8 ft / 5-1/2 in a course = 17.4545... courses, rounded down to whole courses: 17 courses.",
			"2-1/2 in is left over 17 courses, so one more is ripped to 2-1/2 in."},
		{"left open", "98 in", "", tight,
			"8 ft / 5-1/2 in a course = 17.4545... courses, rounded down to whole courses: 17 courses.",
			"2-1/2 in is left open over 17 courses."},
		{"gaps", "6 ft", "rip_top=true", func(*spec.Spec) {},
			"(5 ft 10 in + 1/2 in gap) / (5-1/2 in board + 1/2 in gap) = 11.75 courses, rounded down to whole courses: 11 courses.",
			"4-1/2 in is left over 11 courses, so one more is ripped to 4 in, 1/2 in over it."},
		{"too narrow a rip", "69-1/4 in", "rip_top=true", func(*spec.Spec) {},
			"(5 ft 7-1/4 in + 1/2 in gap) / (5-1/2 in board + 1/2 in gap) = 11.2916... courses, rounded down to whole courses: 11 courses.",
			"1-3/4 in is left open over 11 courses, since a course ripped to 1-1/4 in would be under 1-1/2 in."},
		{"under a gap", "67-3/4 in", "rip_top=true", func(*spec.Spec) {},
			"(5 ft 5-3/4 in + 1/2 in gap) / (5-1/2 in board + 1/2 in gap) = 11.0416... courses, rounded down to whole courses: 11 courses.",
			"1/4 in is left open over 11 courses."},
		{"just whole", "67-1/2 in", "rip_top=true", func(*spec.Spec) {},
			"(5 ft 5-1/2 in + 1/2 in gap) / (5-1/2 in board + 1/2 in gap) = 11 courses.", ""},
	} {
		k := count(t, straight("18 ft"), lying(c.height, c.details, c.change), nil)
		got := append(append(toldOf(k, "horizontal.courses"), toldOf(k, "horizontal.spaced-courses")...), "")[0]
		rest := append(append(toldOf(k, "horizontal.rip"), toldOf(k, "horizontal.open")...), "")[0]
		if got != c.courses || rest != c.rest {
			t.Errorf("%s:\n%s\n%s\nwant\n%s\n%s", c.name, got, rest, c.courses, c.rest)
		}
	}
}

// Two nails at every post that a board passes or ends on (common practice): 18
// ft are 3 bays, so 11 courses of 3 boards have 66 ends, and with boards over
// two bays, one and one in every course, 11 x (3 + 2) crossings. Into steel posts
// go screws.
func TestNailsOfLyingBoards(t *testing.T) {
	for _, c := range []struct {
		name, details string
		change        func(*spec.Spec)
		item, want    string
	}{
		{"one bay", "", func(*spec.Spec) {}, "nail-8d-ring", "66 crossings x 2 nails = 132 nails."},
		{"steel", "", func(s *spec.Spec) { s.Posts.Size, s.Posts.TerminalSize = "2sq", "2sq" }, "screw-board",
			"66 crossings of posts that are not of wood x 2 screws = 132 screws."},
		// The ends, 22, stand on steel.
		{"both", "", func(s *spec.Spec) { s.Posts.Size, s.Posts.TerminalSize = "4x4", "4sq" }, "nail-8d-ring", "44 crossings x 2 nails = 88 nails."},
		{"two bays", "span=2, stock_2=12.5 ft, stock_1=0 ft, stock_3=0 ft", func(s *spec.Spec) { s.Posts.Size = "2sq" }, "screw-board",
			"55 crossings of posts that are not of wood x 2 screws = 110 screws."},
	} {
		k := count(t, straight("18 ft"), lying("6 ft", c.details, c.change), nil)
		found := false
		for _, l := range k.Lines {
			for _, s := range l.Derivation.Sentences() {
				found = found || l.Item == c.item && s == c.want
			}
		}
		if !found {
			t.Errorf("%s: nothing says %q:\n%s", c.name, c.want, told(k))
		}
	}
}

// A board spans two bays only where they lie in one straight line: on one grade,
// or on one step.
func TestBoardsLieStraight(t *testing.T) {
	slope := func(ground ...site.GroundPoint) site.Site {
		st := straight("24 ft")
		st.Runs[0].Ground = ground
		return st
	}
	stepped := func(s *spec.Spec) { s.Slope.Mode = spec.Stepped }
	at := func(station, elevation measure.Length) site.GroundPoint {
		return site.GroundPoint{Station: station * ft, Elevation: elevation * ft}
	}
	for _, c := range []struct {
		name   string
		site   site.Site
		change func(*spec.Spec)
		two    bool
	}{
		{"level", straight("24 ft"), func(*spec.Spec) {}, true},
		{"one grade", slope(at(0, 0), at(24, 3)), func(*spec.Spec) {}, true},
		{"a grade that breaks at every post", slope(at(0, 0), at(6, 1), at(12, 0), at(18, 1), at(24, 0)), func(*spec.Spec) {}, false},
		{"steps", slope(at(0, 0), at(24, 3)), stepped, false},
		{"level steps", slope(at(0, 3), at(24, 3)), stepped, true},
	} {
		k := count(t, c.site, lying("6 ft", "span=2, stock_1=13 ft, stock_2=0 ft, stock_3=0 ft", c.change), nil)
		if got := len(toldOf(k, "horizontal.staggered")) > 0; got != c.two {
			t.Errorf("%s: boards over two bays: %t", c.name, got)
		}
	}
}

func TestBadHorizontalBoards(t *testing.T) {
	refuses(t, "none", lying("6 ft", ""))
	for _, c := range []struct {
		name, details string
		change        func(*spec.Spec)
		want          []string
	}{
		{"wide bays", "", func(s *spec.Spec) { s.Layout.MaxBay = 8 * ft }, []string{
			"spec.layout.max_bay: boards that lie from post to post sag over more than 6 ft; found 8 ft"}},
		{"short boards", "stock_1=5 ft, stock_2=0 ft, stock_3=0 in", func(*spec.Spec) {}, []string{
			"spec.details.stock_1: no board reaches over a bay of 6 ft; the longest is 5 ft",
			"spec.layout.rail_stock: expected at most the longest board, 5 ft, found 6 ft"}},
		{"a stock too short", "stock_1=1 ft", func(*spec.Spec) {}, []string{
			"spec.details.stock_1: no board is cut from 1 ft: the narrowest bay is 2 ft"}},
		{"no boards", "stock_1=0 ft, stock_2=0 ft, stock_3=0 in", func(*spec.Spec) {}, []string{
			"spec.details.stock_1: expected a length that boards are bought in, found none"}},
		{"pattern", "span=3", func(s *spec.Spec) { s.Boards.Pattern = spec.ShadowBox }, []string{
			"spec.details.span: expected between 1 and 2, found 3"}},
		{"fill", "", func(s *spec.Spec) { s.Slope.Fill, s.Boards.MaxGap = spec.LongerBoards, measure.Inch }, []string{
			"spec.boards.max_gap: courses keep their gap; leave it out",
			"spec.slope.fill: boards that lie are not lengthened to the ground; expected leave or refuse, found longer-boards"}},
	} {
		refuses(t, c.name, lying("6 ft", c.details, c.change), c.want...)
	}
	refuses(t, "low", lying("7 in", ""), "spec.boards.width: no course of 5-1/2 in fits into 5 in (height less ground clearance)")
}

// Boards that lie have no rails to push off.
func TestHorizontalBoardsSwell(t *testing.T) {
	s := lying("6 ft", "", func(s *spec.Spec) {
		s.Boards.Gap = 0
		s.Moisture = spec.Moisture{Species: "western redcedar", Installed: "8 %", Service: "14 %"}
	})
	var all []string
	for _, c := range count(t, straight("24 ft"), s, nil).Cautions {
		if c.Code == "no-gap-for-swell" {
			all = append(all, c.Text)
		}
	}
	if text := strings.Join(all, "; "); !strings.Contains(text, "too wide together and push off their posts; leave") {
		t.Errorf("cautions %q", text)
	}
}
