package takeoff_test

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

func shadowBox(s *spec.Spec) {
	s.Boards.Pattern, s.Boards.Gap = spec.ShadowBox, measure.Must("3-1/2 in")
}

// Whole jobs, every line of which a person reviews: boards on both faces of rails
// between the posts; boards on boards, green, on rails over two bays between
// gate posts of steel.
func TestPatternsTold(t *testing.T) {
	tells(t, "shadow-box", count(t, site.Site{Runs: []site.Run{run("0,0 24,0 24,15")}}, sixFoot(shadowBox), nil))
	green := func(s *spec.Spec) {
		s.Boards.Pattern, s.Boards.Overlap = spec.BoardOnBoard, measure.Inch
		s.Posts.GateSize, s.Rails.MaxSpan = "4sq", 2
		s.Fasteners.Coating = spec.Stainless
		s.Moisture = spec.Moisture{Species: "southern pine", Installed: "treated-wet", Service: "temperate"}
	}
	gate := site.Gate{ID: "walk", Station: 31 * ft, Width: 3 * ft, Leaves: 1}
	offers := prices("rail-2x4-8ft 5.10 each\nrail-2x4-12ft 8.40 each\nrail-2x4-16ft 10.00 each")
	tells(t, "board-on-board", count(t, site.Site{Runs: []site.Run{run("0,0 60,0", gate)}}, sixFoot(green), offers))
}

// The rails of a shadow box end between the posts: of bays of 8 ft between 4x4
// posts at 96 - 3-1/2 in (common practice).
func TestShadowBoxRailsAreBetweenPosts(t *testing.T) {
	st := site.Site{Runs: []site.Run{run("0,0 24,0")}}
	l := plan(t, st, sixFoot(shadowBox))
	k := count(t, st, sixFoot(shadowBox), nil)
	if len(l.Bays) != 3 {
		t.Fatalf("%d bays", len(l.Bays))
	}
	for _, p := range k.Cuts[0].Plan.Patterns {
		for _, c := range p.Cuts {
			if c != measure.Must("92-1/2 in") {
				t.Errorf("a rail of %s", c.Imperial())
			}
		}
	}
	// 24 ft 3-1/2 in: (291.5 - 1)/4.5 = 64.6.
	if f := k.Faces[0]; f.Boards != 65 || f.Back != 33 || f.Front != 32 {
		t.Errorf("%+v", f.Boarding)
	}
}

// On any ground boards of two rows are those that are bought, a stepped bay
// begins a row of its own, and 2 nails hold each to every rail.
func TestRowsOnAnyGround(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, s := drawHills(t)
		s.Boards.MaxGap, s.Boards.Gap = 0, 0
		s.Boards.Pattern, s.Boards.Overlap = spec.BoardOnBoard, measure.Length(rapid.IntRange(1, 43).Draw(t, "sixteenths"))*measure.Sixteenth
		if rapid.Bool().Draw(t, "shadow box") {
			s.Boards.Pattern, s.Boards.Gap, s.Boards.Overlap = spec.ShadowBox, 2*s.Boards.Overlap, 0
			s.Boards.Gap = min(s.Boards.Gap, s.Boards.Width-measure.Sixteenth)
		}
		k := recount(t, l, s)
		total := 0
		all := make([]takeoff.Boarding, 0, len(k.Faces))
		for _, f := range k.Faces {
			total += f.Boards
			all = append(all, f.Boarding)
			longer := 0
			for _, b := range f.Longer {
				longer += b.Boards
			}
			if longer > f.Boards {
				t.Fatalf("%d of %d boards are longer", longer, f.Boards)
			}
		}
		for _, f := range k.Leaves {
			total += f.Leaves * f.Boards
			all = append(all, f.Boarding)
		}
		for _, b := range all {
			if b.Back+b.Front != b.Boards || b.Back-b.Front != b.Boards%2 || b.Opened || b.EndGap != 0 {
				t.Fatalf("%+v", b)
			}
		}
		if n, _ := bought(t, k); n != total {
			t.Fatalf("%d boards are bought, the faces and leaves have %d", n, total)
		}
		nails := slices.IndexFunc(k.Lines, func(l takeoff.Line) bool { return l.Item == "nail-8d-ring" })
		want := total * s.RailCount() * 2
		steps := k.Lines[nails].Derivation.Steps
		told := slices.IndexFunc(steps, func(s takeoff.Step) bool { return s.Rule == "nail.pounds" })
		if got := steps[told].Inputs[0].Value; got != fmt.Sprint(want) {
			t.Fatalf("%s nails, want %d", got, want)
		}
	})
}

// On any job no rail goes past a post that is not a line post, and every course
// of a stretch is joined where its neighbour passes.
func TestJointsAreOnLinePosts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, s := drawYard(t)
		s.Rails.MaxSpan = 2
		l, k := counted(t, st, s, nil)
		joined := make(map[[2]int][]int) // by stretch and course
		for _, j := range k.Cuts[0].Joints {
			joined[[2]int{j.Stretch, j.Course}] = j.Posts
			for _, p := range j.Posts {
				if l.Posts[p].Role != layout.Line {
					t.Fatalf("a joint on a %s post", l.Posts[p].Role)
				}
			}
		}
		for at, posts := range joined {
			above, has := joined[[2]int{at[0], at[1] + 1}]
			stretch := l.Stretches[at[0]]
			bays := l.Bays[stretch.FirstBay : stretch.FirstBay+stretch.Bays]
			for _, b := range bays[:len(bays)-1] {
				passedHere, passedAbove := !slices.Contains(posts, b.End), !slices.Contains(above, b.End)
				if has && passedHere && passedAbove {
					t.Fatalf("courses %d and %d both pass %s", at[1], at[1]+1, l.Posts[b.End].ID)
				}
			}
		}
	})
}
