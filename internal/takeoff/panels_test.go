package takeoff_test

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// tells compares every line of a take-off, with the sentences that explain it,
// to a file that a person reviews.
func tells(t *testing.T, name string, k *takeoff.Takeoff) {
	t.Helper()
	var b strings.Builder
	for _, l := range k.Lines {
		fmt.Fprintf(&b, "%s: %s %s (%s)\n", l.Item, l.Order, l.Unit, l.Description)
		for _, s := range l.Derivation.Sentences() {
			fmt.Fprintf(&b, "  %s\n", s)
		}
	}
	for _, c := range k.Cautions {
		fmt.Fprintf(&b, "caution %s: %s\n", c.Code, c.Text)
	}
	file := filepath.Join("testdata", name+".txt")
	if *update {
		if err := os.WriteFile(file, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		t.Errorf("got:\n%s\nwant:\n%s", b.String(), want)
	}
}

// fenceOf is a spec of a family with its particulars: "panel_width=50 in, ...".
func fenceOf(family spec.Family, height, details string, change ...func(*spec.Spec)) spec.Spec {
	s := spec.Spec{Family: family, Height: measure.Must(height), Details: spec.Details{}}
	s.Labour.Exclude = true
	for d := range strings.SplitSeq(details, ", ") {
		if name, text, given := strings.Cut(d, "="); given {
			s.Details[name] = text
		}
	}
	for _, c := range change {
		c(&s)
	}
	return s.WithDefaults()
}

// straight is runs of the given lengths, each for itself.
func straight(lengths ...string) site.Site {
	var st site.Site
	for i, l := range lengths {
		north := measure.Length(i) * 30 * ft
		st.Runs = append(st.Runs, site.Run{ID: fmt.Sprintf("r%d", i+1), Vertices: []measure.Point{{North: north}, {North: north, East: measure.Must(l)}}})
	}
	return st
}

// Metal panels of 6 ft along two legs, in brackets, the off-cuts used again.
func TestPanelsTold(t *testing.T) {
	tells(t, "panels", count(t, site.Site{Runs: []site.Run{run("0,0 0,46 16,46")}}, fenceOf(spec.Panels, "6 ft", ""), nil))
}

func toldOf(k *takeoff.Takeoff, rule string) []string {
	var all []string
	for _, l := range k.Lines {
		for _, s := range l.Derivation.Steps {
			if s.Rule == rule {
				all = append(all, s.Sentence())
			}
		}
	}
	return all
}

// LAY-2: 100 ft of 8 ft panels are 12 and one of 4 ft, or 11 and two of 6 ft.
// LAY-4: 32 ft with posts of 6 in and 4 ft clear between them: 7 spaces, 8 posts;
// 31 ft 6 in between the centres of the outer ones. The others by hand.
func TestPanelsAgainstOutsideFigures(t *testing.T) {
	both := func(s *spec.Spec) {
		s.Layout.Method, s.Layout.ShortEnd, s.Layout.Feather = spec.Feathered, spec.Both, 1
	}
	six := func(s *spec.Spec) { s.Posts.Size = "6vinyl" }
	for _, c := range []struct {
		name, long, details string
		change              func(*spec.Spec)
		want                string
		posts               int
	}{
		{"LAY-2", "100 ft", "material=wood", func(*spec.Spec) {},
			"P1 to P14 (run 1, 0 in to 100 ft): 13 bays: 12 whole panels and 1 cut panel (1 of 4 ft).", 14},
		{"LAY-2, symmetric", "100 ft", "material=wood", both,
			"P1 to P14 (run 1, 0 in to 100 ft): 13 bays: 11 whole panels and 2 cut panels (2 of 6 ft).", 14},
		// 4 ft clear and 1 in into each post.
		{"LAY-4", "31 ft 6 in", "material=vinyl, panel_width=50 in", six,
			"P1 to P8 (run 1, 0 in to 31 ft 6 in): 7 bays: 7 whole panels.", 8},
		// 93 + 5 - 2 = 96 in from centre to centre, so 40 ft are 5 (common practice).
		{"vinyl", "40 ft", "material=vinyl", func(*spec.Spec) {},
			"P1 to P6 (run 1, 0 in to 40 ft): 5 bays: 5 whole panels.", 6},
		// 72 + 1/2 + 2 in between line posts, 72 + 1/2 + 2-1/4 in beside the ends.
		{"metal", "224 in", "", func(*spec.Spec) {},
			"P1 to P4 (run 1, 0 in to 18 ft 8 in): 3 bays: 3 whole panels.", 4},
		{"even", "20 ft", "material=wood", func(s *spec.Spec) { s.Layout.Method = spec.Even },
			"P1 to P4 (run 1, 0 in to 20 ft): 3 bays: 0 whole panels and 3 cut panels (3 of 6 ft 8 in).", 4},
	} {
		k := count(t, straight(c.long), fenceOf(spec.Panels, "6 ft", c.details, c.change), nil)
		if got := toldOf(k, "panels.stretch"); len(got) != 1 || got[0] != c.want {
			t.Errorf("%s: %q\nwant %s", c.name, got, c.want)
		}
		posts := 0
		for _, l := range k.Lines {
			if n, _, ok := l.Net.Int64(0); ok && l.Category == takeoff.Posts {
				posts += int(n)
			}
		}
		if posts != c.posts {
			t.Errorf("%s: %d posts, want %d", c.name, posts, c.posts)
		}
	}
}

// Runs of 12 ft less a little more than half a panel take two cut panels, which
// are one where the off-cut serves (by hand).
func TestOffcutsOfPanels(t *testing.T) {
	for _, c := range []struct{ name, runs, details, want string }{
		{"4 ft and 4 ft are a panel, but for what the cut takes", "12 ft, 12 ft", "material=wood", "4"},
		{"less by what the cut takes", "143-7/8 in, 12 ft", "material=wood", "3"},
		{"a cut that takes nothing", "12 ft, 12 ft", "material=wood, cut_loss=0 in", "3"},
		{"a cut at the next picket", "11 ft, 12 ft", "material=wood, cut_loss=12-1/8 in", "4"},
		{"not used again", "143-7/8 in, 12 ft", "material=wood, reuse_offcuts=false", "4"},
		{"vinyl is not", "11 ft, 11 ft", "material=vinyl", "4"},
		{"scrap", "136 in, 12 ft", "material=wood, least_offcut=50 in", "4"},
		{"no scrap", "136 in, 12 ft", "material=wood, least_offcut=47-7/8 in", "3"},
	} {
		k := count(t, straight(strings.Split(c.runs, ", ")...), fenceOf(spec.Panels, "6 ft", c.details), nil)
		for _, l := range k.Lines {
			if l.Category == takeoff.Panels && l.Order.String() != c.want {
				t.Errorf("%s: %s panels, want %s", c.name, l.Order, c.want)
			}
		}
	}
}

// A chord of an arc is a whole panel between line posts, not one between the
// wider terminal posts, which would be two cut ones: 72 + 2 + 1/2 in. The widest bay
// is that between the widest gate posts.
func TestPanelsOnArcs(t *testing.T) {
	s := fenceOf(spec.Panels, "6 ft", "")
	if chord := s.Curves[0].Spacing; chord != measure.Must("74.5 in") || s.Layout.MaxBay != measure.Must("76.5 in") {
		t.Errorf("chords of %s, bays of %s", chord.Inches(2), s.Layout.MaxBay.Inches(2))
	}
}

func TestPanelsThatMayNotBeCut(t *testing.T) {
	s := fenceOf(spec.Panels, "6 ft", "material=vinyl, cut=false")
	if _, err := takeoff.Count(plan(t, straight("40 ft"), s), s, nil); err != nil {
		t.Errorf("whole panels fit, and yet: %v", err)
	}
	_, err := takeoff.Count(plan(t, straight("36 ft", "40 ft", "5 ft"), s), s, nil)
	want := `the request has 2 thing(s) to put right
  site.runs[0]: panels may not be cut, and P1 to P6 (run 1, 0 in to 36 ft) leaves one of 3 ft 9 in; on level ground expected 32 ft for 4 panels, or 40 ft for 5 panels
  site.runs[2]: panels may not be cut, and P13 to P14 (run 3, 0 in to 5 ft) leaves one of 4 ft 9 in; on level ground expected 8 ft for 1 panel`
	if fmt.Sprint(err) != want {
		t.Errorf("%v\nwant %s", err, want)
	}
}

// Posts that rails go into, by what meets in them. Panels stand 8 ft apart: 40
// ft are 5 of them and 4 line posts, 46 and 60 ft 6 and 8 with 5 and 7.
func TestMortisedPosts(t *testing.T) {
	north := measure.Point{North: 40 * ft}
	branch := site.Run{ID: "branch", Vertices: []measure.Point{{North: 24 * ft}, {North: 24 * ft, East: 16 * ft}}}
	atCorner := site.Run{ID: "branch", Vertices: []measure.Point{north, north.Add(measure.Point{East: -20 * ft})}}
	yard := run("0,0 0,40 60,40", site.Gate{ID: "walk", Station: 50 * ft, Width: 4 * ft, Leaves: 1})
	across := site.Run{ID: "across", Vertices: []measure.Point{{North: 24 * ft, East: -24 * ft}, {North: 24 * ft, East: 24 * ft}}}
	hung := site.Run{ID: "hung", Vertices: []measure.Point{{North: 24 * ft}, {North: 36 * ft}},
		Gates: []site.Gate{{ID: "walk", Station: measure.Inch * 5 / 2, Width: 4 * ft, Leaves: 1}}}
	further := run("0,24 0,48")
	further.ID = "further"
	tied := run("0,0 0,40")
	tied.Start.TieIn = true
	for _, c := range []struct {
		name string
		site site.Site
		want string
	}{
		{"a corner and a gate", site.Site{Runs: []site.Run{yard}}, "1 corner 4 end 10 line"},
		{"a wall", site.Site{Runs: []site.Run{tied}}, "2 end 4 line"},
		{"a junction", site.Site{Runs: []site.Run{run("0,0 0,40"), branch}}, "3 end 4 line 1 tee"},
		{"two that cross", site.Site{Runs: []site.Run{run("0,0 0,48"), across}}, "1 cross 4 end 8 line"},
		// Its gate hangs on a post of the run that passes, and on its own.
		{"a gate on a straight", site.Site{Runs: []site.Run{across, hung}}, "4 end 5 line"},
		{"runs in line", site.Site{Runs: []site.Run{run("0,0 0,24"), further}}, "2 end 5 line"},
		{"three ways at a corner", site.Site{Runs: []site.Run{run("0,0 0,40 60,40"), atCorner}}, "3 end 13 line 1 tee"},
	} {
		s := fenceOf(spec.Panels, "6 ft", "material=vinyl")
		l := plan(t, c.site, s)
		l.Openings = nil // gate leaves are built elsewhere
		k, err := takeoff.Count(l, s, nil)
		if err != nil {
			t.Fatal(err)
		}
		made := make(map[string]int64)
		for _, line := range k.Lines {
			if as, is := strings.CutPrefix(line.Item, "post-5vinyl-"); is {
				as, _, _ = strings.Cut(as, "-")
				n, _, _ := line.Net.Int64(0)
				made[as] += n
			}
		}
		var got []string
		for _, as := range slices.Sorted(maps.Keys(made)) {
			got = append(got, fmt.Sprint(made[as], " ", as))
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: %s, want %s", c.name, strings.Join(got, " "), c.want)
		}
	}
}

// refuses compares what a spec is refused for.
func refuses(t *testing.T, name string, s spec.Spec, want ...string) {
	t.Helper()
	var v fault.List
	s.CornerAngle = 10 * measure.Degree
	s.Validate(v.At("spec"))
	text := fmt.Sprint(v.Err())
	for _, w := range want {
		if !strings.Contains(text, w) {
			t.Errorf("%s: want %q in\n%s", name, w, text)
		}
	}
	if v.Len() != len(want) {
		t.Errorf("%s: want %d thing(s), found\n%s", name, len(want), text)
	}
}

func TestBadPanels(t *testing.T) {
	for _, material := range []string{"ornamental-metal", "vinyl", "wood"} {
		refuses(t, material, fenceOf(spec.Panels, "6 ft", "material="+material))
	}
	for _, c := range []struct {
		name, details string
		change        func(*spec.Spec)
		want          []string
	}{
		{"details", "material=glass, mount=between, panel_width=9 ft, cut=perhaps", func(*spec.Spec) {}, []string{
			`spec.details.material: "glass" is not known here; expected ornamental-metal, vinyl, wood`,
			`spec.details.cut: "perhaps" is neither true nor false`}},
		{"extras", "", func(s *spec.Spec) { s.Extras = spec.Extras{CapBoard: "2x6", Trim: "1x4", KickBoard: "2x6"} }, []string{
			"spec.extras.trim: trim stands along the top of boards; Panels has none",
			"spec.extras.cap_board: Panels carries no cap board; leave it out",
			"spec.extras.kick_board: Panels carries no kick board; leave it out"}},
		{"wood at the foot", "material=wood", func(s *spec.Spec) { s.Extras = spec.Extras{CapBoard: "2x6", KickBoard: "2x6"} }, []string{
			"spec.extras.cap_board: Panels carries no cap board; leave it out"}},
		{"mount", "material=vinyl, mount=face", func(*spec.Spec) {}, []string{"spec.details.mount: vinyl panels go into their posts; expected between"}},
		{"nothing holds them", "brackets_per_panel_end=0", func(*spec.Spec) {}, []string{
			"spec.details.brackets_per_panel_end: a panel that does not go into its posts takes brackets"}},
		{"losses", "cut_loss=6 ft, least_offcut=7 ft", func(*spec.Spec) {}, []string{
			"spec.details.cut_loss: 6 ft is all of a panel of 6 ft", "spec.details.least_offcut: 7 ft is more than a whole panel, 6 ft"}},
		{"narrow", "panel_width=1 ft, material=wood", func(*spec.Spec) {}, []string{
			"spec.details.panel_width: expected between 24 in and 20 ft, found 1 ft", "spec.layout.max_bay: expected between 2 ft and 100 ft, found 1 ft"}},
		{"layout", "material=wood", func(s *spec.Spec) {
			s.Layout.Hang, s.Layout.RailStock, s.Layout.TerminalLimit = spec.Between, 7*ft, new(true)
		}, []string{"spec.layout.hang: panels with mount face hang lapped, found between",
			"spec.layout.rail_stock: expected the width of a panel, 8 ft, found 7 ft",
			"spec.layout.terminal_limit: panels on the faces of posts end at the centres of terminal ones; expected false"}},
		{"two limits", "rack=1 ft", func(s *spec.Spec) { s.Slope.MaxRack = 2 * ft }, []string{
			"spec.details.rack: 1 ft here and 2 ft in slope.max_rack are two limits; expected one"}},
		{"fill", "", func(s *spec.Spec) { s.Slope.Fill = spec.LongerBoards }, []string{
			"spec.slope.fill: panels are not lengthened; expected leave or refuse, found longer-boards"}},
		{"rails", "", func(s *spec.Spec) { s.Rails.Count = 3 }, []string{"spec.rails: Panels has no rails of this kind; leave them out"}},
	} {
		refuses(t, c.name, fenceOf(spec.Panels, "6 ft", c.details, c.change), c.want...)
	}
}

// Panels follow the ground as far as their maker lets them; a limit that is not
// known is told of.
func TestRackOfPanels(t *testing.T) {
	st := straight("48 ft")
	st.Runs[0].Ground = []site.GroundPoint{{}, {Station: 48 * ft, Elevation: 6 * ft}}
	for details, want := range map[string]string{
		"material=wood":            "Panels follow the ground here, and nothing says how far they rack; ask their maker, or step them.",
		"material=wood, rack=1 ft": "",
	} {
		if got := caution(count(t, st, fenceOf(spec.Panels, "6 ft", details), nil), "rack-not-limited"); got != want {
			t.Errorf("%s: %q, want %q", details, got, want)
		}
	}
	if _, err := layout.Plan(st, fenceOf(spec.Panels, "6 ft", "material=wood, rack=9 in")); err == nil || !strings.Contains(err.Error(), "rack") {
		t.Errorf("a panel that rises 1 ft and may rise 9 in: %v", err)
	}
}
