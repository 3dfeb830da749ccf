package takeoff

import (
	"slices"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// posts makes the posts of the given indices of a section, all where none is
// given.
func posts(size section.Section, of ...int) func(*layout.Layout) {
	return func(l *layout.Layout) {
		for i := range l.Posts {
			if len(of) == 0 || slices.Contains(of, i) {
				l.Posts[i].Size, l.Posts[i].Width = size, size.Width()
			}
		}
	}
}

// Nails hold rails to wood, a bracket and 4 screws each end on metal (common
// practice): three bays of three rails have 18 ends, 3 of them on either end post.
func TestRailsOnMetalPosts(t *testing.T) {
	two := map[string]Offer{"rail-2x4-8ft": each("5"), "rail-2x4-16ft": each("9")}
	kick := func(s *spec.Spec) { s.Slope.Fill = spec.KickBoard }
	for _, c := range []struct {
		name   string
		l      *layout.Layout
		offers map[string]Offer
		change []func(*spec.Spec)
		want   string
		nails  string
	}{
		{"wood", hill("7 ft, 7 ft, 7 ft"), nil, nil, "", "36 nails / 49"},
		{"gate posts of steel at both ends", hill("7 ft, 7 ft, 7 ft", posts("2sq", 0, 3)), nil, nil,
			"6 rail-bracket-2sq, 24 screw-self-drilling", "24 nails / 49"}, // 12 ends on wood x 2
		{"two sections", hill("7 ft, 7 ft, 7 ft", posts("2sq", 0), posts("2.375od", 1)), nil, nil,
			"3 rail-bracket-2sq, 6 rail-bracket-2.375od, 36 screw-self-drilling", "18 nails / 49"},
		{"all of steel", hill("7 ft, 7 ft, 7 ft", posts("2.375od")), nil, nil, "18 rail-bracket-2.375od, 72 screw-self-drilling", ""},
		{"rails past steel", hill(even, posts("2.375od")), two, []func(*spec.Spec){twoBays},
			"19 rail-bracket-2.375od, 76 screw-self-drilling", ""}, // 14 ends and 5 past
		// A kick board in the first bay is screwed at P1 and nailed at P2.
		{"a kick board", hill("7 ft, 7 ft", posts("2sq", 0), gaps("4 in, 0 in")), nil, []func(*spec.Spec){kick},
			"3 rail-bracket-2sq, 16 screw-self-drilling", "20 nails / 49"},
		{"stainless", hill("7 ft, 7 ft, 7 ft", posts("2sq", 0)), nil, []func(*spec.Spec){func(s *spec.Spec) { s.Fasteners.Coating, s.Fasteners.ScrewsPerRailEnd = spec.Stainless, 6 }},
			"3 rail-bracket-2sq, 18 screw-self-drilling-stainless", "30 nails / 49"},
	} {
		k := tookOff(t, c.l, sixFoot(c.change...), c.offers)
		var got []string
		nails := ""
		for _, line := range k.Lines {
			switch {
			case line.Category == Hardware || strings.HasPrefix(line.Item, "screw"):
				got = append(got, line.Net.String()+" "+line.Item)
			case strings.HasPrefix(line.Item, "nail-16d"):
				nails = sentences(k, line.Item)
			}
			if !itemName.MatchString(line.Item) {
				t.Errorf("%s: %s is no name of an item", c.name, line.Item)
			}
		}
		slices.SortFunc(got, func(a, b string) int { return strings.Compare(last(a), last(b)) })
		want := strings.Split(c.want, ", ")
		slices.SortFunc(want, func(a, b string) int { return strings.Compare(last(a), last(b)) })
		if strings.Join(got, ", ") != strings.Join(want, ", ") {
			t.Errorf("%s: %v, want %v", c.name, got, want)
		}
		if c.nails == "" != (nails == "") || !strings.Contains("\n"+nails, "\n"+c.nails) {
			t.Errorf("%s: want %s in\n%s", c.name, c.nails, nails)
		}
		for _, line := range k.Lines {
			if !slices.Contains(Candidates(c.l, sixFoot(c.change...)), line.Item) {
				t.Errorf("%s: %s is bought and was no candidate", c.name, line.Item)
			}
		}
	}
}

func last(s string) string { return s[strings.LastIndex(s, " ")+1:] }

func TestScrewsAreTold(t *testing.T) {
	l := hill("7 ft, 7 ft", posts("2sq", 0), gaps("4 in, 0 in"))
	k := tookOff(t, l, sixFoot(func(s *spec.Spec) { s.Slope.Fill = spec.KickBoard }), nil)
	says(t, k, "rail-bracket-2sq", "3 ends of rails on posts of 2 in square tube, a bracket at each = 3 brackets.")
	says(t, k, "screw-self-drilling",
		"3 ends of rails on metal posts, 4 screws into the post at each = 12 screws.",
		"1 end of kick boards on metal posts, 4 screws into the post at each = 4 screws.",
		"12 for rails + 4 for kick boards = 16 screws.",
		"16 screws + 5 % waste = 16.8 screws, rounded up once for the job: 17 screws.")
	says(t, k, "nail-16d", "Rails of bays: 9 ends on wood posts x 2 nails = 18 nails.", "Kick boards: 1 end on wood posts x 2 nails = 2 nails.")
}

// The names that a price book of older jobs has stay those of hot-dip
// galvanized fasteners; others say what they are coated with.
func TestCoatings(t *testing.T) {
	for coating, want := range map[spec.Coating]string{
		spec.HotDip:    "nail-16d nail-8d-ring",
		spec.Stainless: "nail-16d-stainless nail-8d-ring-stainless",
		spec.Bright:    "nail-16d-bright nail-8d-ring-bright",
	} {
		k := tookOff(t, hill("8 ft"), sixFoot(func(s *spec.Spec) { s.Fasteners.Coating = coating }), nil)
		var got []string
		for _, l := range k.Lines {
			if l.Category == Fasteners {
				got = append(got, l.Item)
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s: %v, want %s", coating, got, want)
		}
		warned := slices.ContainsFunc(k.Cautions, func(c layout.Caution) bool { return c.Code == "bright-fasteners" })
		if warned != (coating == spec.Bright) {
			t.Errorf("%s: a caution: %v", coating, warned)
		}
	}
}

// Families without boards hear nothing of boards, nails and reveals.
func TestCautionsOfBoardsAreForBoards(t *testing.T) {
	loud := func(s *spec.Spec) {
		s.Fasteners.Coating, s.Fasteners.BoardNail = spec.Bright, "20d"
		s.Rails.TopReveal, s.Rails.Size, s.Boards.Thickness = new(measure.Foot), "2x4", 2*measure.Inch
	}
	heard := func(f spec.Family) string {
		s := spec.Spec{Family: f, Height: 6 * ft}.WithDefaults()
		loud(&s)
		var codes []string
		for _, c := range cautions(&s, &Takeoff{}) {
			codes = append(codes, c.Code)
		}
		return strings.Join(codes, " ")
	}
	for _, f := range spec.Families() {
		d := f.Definition()
		if got := heard(f); !d.Boards && got != "" {
			t.Errorf("%s: %s", f, got)
		}
	}
	if got, want := heard(spec.VerticalBoards), "board-nail-long board-nail-short bright-fasteners wide-reveal"; got != want {
		t.Errorf("vertical boards: %s, want %s", got, want)
	}
}

// A 2-1/2 in nail through two boards of 3/4 in holds by 1 in.
func TestFrontRowNails(t *testing.T) {
	rows := func(s *spec.Spec) { s.Boards.Pattern, s.Boards.Overlap = spec.BoardOnBoard, measure.Inch }
	k := tookOff(t, hill("8 ft"), sixFoot(rows), nil)
	want := "Where the front row covers the back a nail of 8d goes through two boards of 3/4 in, and 1 in of it into the rail; a longer one holds the front row better."
	if !slices.ContainsFunc(k.Cautions, func(c layout.Caution) bool { return c.Code == "front-nail-short" && c.Text == want }) {
		t.Errorf("%v", k.Cautions)
	}
}
