package takeoff

import (
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Boards of 70 in reach from 2 in over the ground; with a fill of up to 2 in
// the 6 ft stock still does, with more the shortest whole foot. Three racked
// bays of 8 ft share the 53 boards of their face; an inner bay takes 96 / 5-1/2
// = 17.45, an end one 97-3/4 / 5-1/2 = 17.77: 18.
func TestLongerBoards(t *testing.T) {
	three := "8 ft, 8 ft, 8 ft"
	for _, c := range []struct {
		name, fills string
		change      []func(*layout.Layout)
		want        string
	}{
		{"none", "0 in, 0 in, 0 in", nil, "53 board-1x6-6ft"},
		{"the stock has 2 in to spare", "2 in, 0 in, 2 in", nil, "53 board-1x6-6ft"},
		{"a nanometre more", "0 in, 50.800001 mm, 0 in", nil, "35 board-1x6-6ft, 18 board-1x6-7ft"},
		{"70 + 8 in", "0 in, 8 in, 0 in", nil, "35 board-1x6-6ft, 18 board-1x6-7ft"},
		{"70 + 14 in, just 7 ft", "0 in, 14 in, 0 in", nil, "35 board-1x6-6ft, 18 board-1x6-7ft"},
		{"an end and the middle", "8 in, 20 in, 0 in", nil, "17 board-1x6-6ft, 18 board-1x6-7ft, 18 board-1x6-8ft"},
		{"all bays, never more than the face has", "8 in, 8 in, 8 in", nil, "53 board-1x6-7ft"},
		{"all bays, the longest first", "8 in, 8 in, 20 in", nil, "35 board-1x6-7ft, 18 board-1x6-8ft"},
		{"a stepped bay", "0 in, 8 in, 0 in", []func(*layout.Layout){stepped}, "36 board-1x6-6ft, 18 board-1x6-7ft"},
	} {
		l := hill(three, slices.Concat(c.change, []func(*layout.Layout){gaps(c.fills)})...)
		k := tookOff(t, l, sixFoot(), nil)
		if got := nets(k, Boards); got != c.want {
			t.Errorf("%s: %s\nwant %s", c.name, got, c.want)
		}
		if len(k.Cuts) != 1 {
			t.Errorf("%s: cut plans for more than rails", c.name)
		}
		for _, line := range k.Lines {
			if line.Category == Boards && !slices.Contains(Candidates(l, sixFoot()), line.Item) {
				t.Errorf("%s: %s is bought and was no candidate", c.name, line.Item)
			}
		}
	}
	k := tookOff(t, hill(three, gaps("8 in, 6 in, 0 in")), sixFoot(), nil)
	says(t, k, "board-1x6-6ft",
		"53 on P1 to P4 = 53 boards.",
		"53 boards - 36 longer boards = 17 boards.")
	says(t, k, "board-1x6-7ft",
		"6 ft of height - 2 in of ground clearance + at most 8 in to fill over the ground = 6 ft 6 in, the shortest whole foot that reaches: 7 ft.",
		"P1 to P2 (run 1, 0 in to 8 ft): 8 ft 1-3/4 in of face / pitch 5-1/2 in (5-1/2 in board) = 17.7727... boards, rounded up to whole boards: 18 boards.",
		"P2 to P3 (run 1, 8 ft to 16 ft): 8 ft of face / pitch 5-1/2 in (5-1/2 in board) = 17.4545... boards, rounded up to whole boards: 18 boards.",
		"18 on P1 to P2 + 18 on P2 to P3 = 36 boards.")
	// 12 boards of LAY-3 over 96 in, 8.227 in apart: 48 in take 6 of them.
	opened := sixFoot(func(s *spec.Spec) { s.Boards.Gap, s.Boards.MaxGap = measure.Must("2.4 in"), measure.Must("3 in") })
	if got, want := nets(tookOff(t, hill("46.25 in, 46.25 in", gaps("8 in, 0 in")), opened, nil), Boards), "6 board-1x6-6ft, 6 board-1x6-7ft"; got != want {
		t.Errorf("opened gaps: %s, want %s", got, want)
	}
	// A stock of 6 ft 6 in reaches over 70 + 8 in.
	long := sixFoot(func(s *spec.Spec) { s.Boards.Stock = 78 * measure.Inch })
	if got, want := nets(tookOff(t, hill(three, gaps("8 in, 8 in, 9 in")), long, nil), Boards), "35 board-1x6-78in, 18 board-1x6-7ft"; got != want {
		t.Errorf("a longer stock: %s, want %s", got, want)
	}
	// A face of 70-1/2 in has 13 boards, and its first bay takes them all.
	says(t, tookOff(t, hill("66 in, 1 in", gaps("20 in, 8 in")), sixFoot(), nil), "board-1x6-8ft",
		"P1 to P3 (run 1, 0 in to 5 ft 7 in): face 5 ft 10-1/2 in / pitch 5-1/2 in (5-1/2 in board) = 12.8181... boards, rounded up to whole boards: 13 boards.",
		"13 on P1 to P2 = 13 boards.")
	// Where no board is of the spec's stock, a longer one's line tells of the face.
	says(t, tookOff(t, hill(three, gaps("8 in, 8 in, 8 in")), sixFoot(), nil), "board-1x6-7ft",
		"P1 to P4 (run 1, 0 in to 24 ft): 24 ft on centre + 1-3/4 in to the outer edge of the start post + 1-3/4 in to the outer edge of the finish post = 24 ft 3-1/2 in.",
		"P3 to P4 (run 1, 16 ft to 24 ft): 8 ft 1-3/4 in of face / pitch 5-1/2 in (5-1/2 in board) = 17.7727... boards, no more than are left of its face: 17 boards.")
}

// Kick boards 2x6 are 5-1/2 in wide: 8 in take 2 courses, 5-1/2 in just 1. Three
// pieces of 7 ft: two fit a stick of 16 ft, so 15 + 9 and not 3 x 9. The ends of
// 9 rails and 3 kick boards take (9 + 3) x 2 x 2 = 48 nails, / 49 (FAS-1).
func TestKickBoards(t *testing.T) {
	s := sixFoot(func(s *spec.Spec) { s.Slope.Fill = spec.KickBoard })
	l := hill("7 ft, 7 ft, 7 ft", gaps("8 in, 0 in, 5.5 in"))
	offers := map[string]Offer{"kick-2x6-8ft": each("9"), "kick-2x6-16ft": each("15"), "rail-2x4-8ft": each("5")}
	k := tookOff(t, l, s, offers)
	if got, want := nets(k, Rails, Boards), "1 kick-2x6-16ft, 1 kick-2x6-8ft, 9 rail-2x4-8ft, 47 board-1x6-6ft"; got != want {
		t.Errorf("%s\nwant %s", got, want) // 252 + 3-1/2 in / 5-1/2 = 46.45 boards
	}
	says(t, k, "kick-2x6-8ft",
		"1 bay: at most 8 in to fill / 5-1/2 in a course = 1.4545... courses, rounded up to whole courses: 2 courses.",
		"1 bay: at most 5-1/2 in to fill / 5-1/2 in a course = 1 course.",
		"1 bay x 2 courses of 7 ft, from post centre to post centre = 2 pieces.",
		"3 pieces, cut with a saw kerf of 1/8 in from sticks of 8 ft or 16 ft, for the least cost (no plan costs less): 1 stick of 8 ft.")
	says(t, tookOff(t, hill("7 ft, 7 ft, 7 ft", gaps("6 in, 8 in, 7 in")), s, offers), "kick-2x6-16ft",
		"3 bays: at most 8 in to fill / 5-1/2 in a course = 1.4545... courses, rounded up to whole courses: 2 courses.",
		"3 bays x 2 courses of 7 ft, from post centre to post centre = 6 pieces.")
	says(t, k, "nail-16d", "Kick boards: 3 kick boards x 2 ends x 2 nails = 12 nails.", "48 nails / 49 nails to the lb = 0.9795... lb, rounded up to 0.01 lb: 0.98 lb.")
	if len(k.Cuts) != 2 || k.Cuts[0].Use != "rails 2x4" || k.Cuts[1].Use != "kick boards 2x6" {
		t.Errorf("cut plans: %v", k.Cuts)
	}
	if got, want := kicks(Candidates(l, s)), "kick-2x6-12ft kick-2x6-16ft kick-2x6-8ft"; got != want {
		t.Errorf("candidates: %s, want %s", got, want)
	}
	level := hill("7 ft, 7 ft, 7 ft")
	if k := tookOff(t, level, s, nil); len(k.Cuts) != 1 || kicks(Candidates(level, s)) != "" {
		t.Error("kick boards where there is nothing to fill")
	}
}

// each is an offer for each of one, of the given price.
func each(price string) Offer { return Offer{Price: decimal.MustParse(price), Unit: Each} }

func kicks(items []string) string {
	return strings.Join(slices.DeleteFunc(items, func(s string) bool { return !strings.HasPrefix(s, "kick") }), " ")
}

// A bay of 84 in that rises 13 in is 85 in along the slope (13, 84, 85). Its
// kick board is that long where the bay is racked, and 84 in where it is stepped.
func TestKickBoardAlongTheSlope(t *testing.T) {
	s := sixFoot(func(s *spec.Spec) { s.Slope.Fill = spec.KickBoard })
	rising := func(l *layout.Layout) { l.Bays[0].Rise = -13 * measure.Inch }
	for _, c := range []struct {
		*layout.Layout
		want measure.Length
	}{{hill("84 in", rising, gaps("4 in")), 85}, {hill("84 in", stepped, rising, gaps("4 in")), 84}} {
		if got := tookOff(t, c.Layout, s, nil).Cuts[1].Plan.Patterns[0].Cuts[0]; got != c.want*measure.Inch {
			t.Errorf("cut to %s, want %s", got.Imperial(), (c.want * measure.Inch).Imperial())
		}
	}
	long := hill("17 ft", gaps("4 in"))
	long.Bays[0].Rail = 16 * ft
	if _, err := Count(long, s, nil); err == nil || !strings.Contains(err.Error(), "expected a stick of at least 17 ft for the longest kick board") {
		t.Errorf("a kick board longer than every stick: %v", err)
	}
}
