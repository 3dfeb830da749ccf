package takeoff

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

func twoBays(s *spec.Spec) { s.Rails.MaxSpan = 2 }

// even is four bays whose rails are all 8 ft long.
const even = "94.25 in, 96 in, 96 in, 94.25 in"

// joints are those of a plan: "1: P3; 2: P2 P4; 3: P3", courses from 1.
func joints(l *layout.Layout, k *Takeoff) string {
	var all []string
	for _, j := range k.Cuts[0].Joints {
		text := fmt.Sprintf("%d:", j.Course+1)
		for _, p := range j.Posts {
			text += " " + l.Posts[p].ID
		}
		all = append(all, text)
	}
	return strings.Join(all, "; ")
}

// Common practice: joints on line posts, staggered from course to course. Four
// bays of 8 ft rails on 3 courses, by hand:
//
//	one bay each           12 of 8 ft             9 joints
//	first pair lowest       5 of 16 ft, 2 of 8 ft  4 joints
//	one bay first lowest    4 of 16 ft, 4 of 8 ft  5 joints
func TestRailsOverTwoBays(t *testing.T) {
	stock := func(feet ...measure.Length) func(*spec.Spec) {
		return func(s *spec.Spec) {
			s.Rails.Stock = nil
			for _, f := range feet {
				s.Rails.Stock = append(s.Rails.Stock, f*ft)
			}
		}
	}
	pinned := func(l *layout.Layout) { // two stretches of two bays
		second := l.Stretches[0]
		l.Stretches[0].Bays, l.Stretches[0].FinishEnd = 2, layout.StretchEnd{Post: 2}
		second.FirstBay, second.Bays, second.StartEnd = 2, 2, layout.StretchEnd{Post: 2}
		l.Stretches[0].End, second.Start = 190*measure.Inch+measure.Inch/4, 190*measure.Inch+measure.Inch/4
		l.Stretches = append(l.Stretches, second)
		l.Bays[2].Stretch, l.Bays[3].Stretch = 1, 1
	}
	for _, c := range []struct {
		name            string
		change          []func(*spec.Spec)
		hill            []func(*layout.Layout)
		price8, price16 string
		sticks, joints  string
		nails           string
	}{
		{"one bay each is asked for", []func(*spec.Spec){func(s *spec.Spec) { s.Rails.MaxSpan = 1 }}, nil, "5", "9", "12 rail-2x4-8ft", "", "48"},
		{"two are cheaper", nil, nil, "5", "9", "5 rail-2x4-16ft, 2 rail-2x4-8ft", "1: P3; 2: P2 P4; 3: P3", "38"}, // (14 ends + 5 past) x 2
		{"equal cost, fewer joints", nil, nil, "5", "10", "5 rail-2x4-16ft, 2 rail-2x4-8ft", "1: P3; 2: P2 P4; 3: P3", "38"},
		{"one is cheaper", nil, nil, "5", "10.01", "12 rail-2x4-8ft", "", "48"},
		{"without prices, the same length", nil, nil, "", "", "5 rail-2x4-16ft, 2 rail-2x4-8ft", "1: P3; 2: P2 P4; 3: P3", "38"},
		{"no stick reaches", []func(*spec.Spec){stock(8, 12)}, nil, "5", "", "12 rail-2x4-8ft", "", "48"},
		{"the long one is not on offer", nil, nil, "5", "", "12 rail-2x4-8ft", "", "48"},
		{"stepped", nil, []func(*layout.Layout){stepped}, "5", "9", "12 rail-2x4-8ft", "", "48"},
		{"another grade at the last bay", nil, []func(*layout.Layout){func(l *layout.Layout) { l.Bays[3].Rise = measure.Inch }}, "5", "8",
			// Early: a pair, 2 bays; late: a bay, a pair, a bay: 3 pairs and 6 bays.
			"3 rail-2x4-16ft, 6 rail-2x4-8ft", "1: P3 P4; 2: P2 P4; 3: P3 P4", "42"},
		{"never past a fixed post", nil, []func(*layout.Layout){pinned}, "5", "8",
			// In both stretches: 2 courses of a pair, one of 2 bays.
			"4 rail-2x4-16ft, 4 rail-2x4-8ft", "1:; 2: P2; 3:; 1:; 2: P4; 3:", "40"},
		{"between posts", []func(*spec.Spec){func(s *spec.Spec) { s.Layout.Hang = spec.Between }}, nil, "5", "8", "12 rail-2x4-8ft", "", "48"},
	} {
		s := sixFoot(append([]func(*spec.Spec){twoBays}, c.change...)...)
		l := hill(even, c.hill...)
		offers := map[string]Offer{}
		if c.price8 != "" {
			offers["rail-2x4-8ft"] = each(c.price8)
		}
		if c.price16 != "" {
			offers["rail-2x4-16ft"] = each(c.price16)
		}
		k := tookOff(t, l, s, offers)
		if got := nets(k, Rails); got != c.sticks {
			t.Errorf("%s: %s, want %s", c.name, got, c.sticks)
		}
		if got := joints(l, k); got != c.joints {
			t.Errorf("%s: joints %q, want %q", c.name, got, c.joints)
		}
		if got, want := "\n"+sentences(k, "nail-16d"), "\n"+c.nails+" nails / "; !strings.Contains(got, want) {
			t.Errorf("%s: want %s nails in%s", c.name, c.nails, got)
		}
	}
}

func sentences(k *Takeoff, item string) string {
	for _, l := range k.Lines {
		if l.Item == item {
			return strings.Join(l.Derivation.Sentences(), "\n")
		}
	}
	return ""
}

func TestRailsOverTwoBaysAreTold(t *testing.T) {
	offers := map[string]Offer{"rail-2x4-8ft": each("5"), "rail-2x4-16ft": each("9")}
	k := tookOff(t, hill(even), sixFoot(twoBays), offers)
	says(t, k, "rail-2x4-16ft",
		"3 rails in each bay, centred 9-3/4 in, 3 ft 1 in, 5 ft 4-1/4 in above grade.",
		"P1 to P5 (run 1, 0 in to 31 ft 8-1/2 in): courses 1, 3 from below joined at P3: 1 joint in each.",
		"P1 to P5 (run 1, 0 in to 31 ft 8-1/2 in): course 2 from below joined at P2, P4: 2 joints in each.",
		"All joints, staggered from course to course where the pairs of bays allow, rails going past line posts only, never past a gate, a corner, a bend or another fixed post = 4 joints.",
		"P1 to P3: 8 ft + 8 ft of rail over the two bays = 16 ft.",
		"2 courses of 2 rails over 2 bays of 16 ft = 4 pieces.",
		"1 course of 2 rails over 1 bay of 8 ft = 2 pieces.",
		"1 course of 1 rail over 2 bays of 16 ft = 1 piece.",
		"Rails over two bays, the lowest from the first of them take 55 with 4 joints, over one bay each 60 with 9 joints, over two bays, the lowest after one bay 56 with 5 joints: "+
			"the cheapest are cut, of equal ones those with the fewest joints.")
	says(t, k, "nail-16d", "Rails of bays: 14 ends on wood posts x 2 nails + 5 past one x 2 nails = 38 nails.")
	says(t, tookOff(t, hill(even, stepped), sixFoot(twoBays), offers), "rail-2x4-8ft",
		"A rail goes past a post that it laps where both bays are of one grade and a stick reaches over both; of sticks up to 16 ft none does here, so each rail spans 1 bay.")
	// Cut plumb on 13 in 84: 84 x 85/84 + 3.5 x 13/84 each, with one end cut fewer.
	plumb := hill("84 in, 84 in, 84 in")
	for i := range plumb.Bays {
		plumb.Bays[i].Rise = 13 * measure.Inch
	}
	plumb.Bays[1].Rail = measure.Must("2172.758333 mm")
	plumb.Bays[0].Rail, plumb.Bays[2].Rail = plumb.Bays[1].Rail, plumb.Bays[1].Rail
	k = tookOff(t, plumb, sixFoot(twoBays, func(s *spec.Spec) { s.Slope.RailEnds = spec.PlumbEnds }), map[string]Offer{"rail-2x4-8ft": each("5"), "rail-2x4-16ft": each("5")})
	says(t, k, "rail-2x4-16ft",
		"P1 to P3: 85.5417 in + 85.5417 in of rail over the two bays - 0.5417 in for the one end cut that they have fewer = 170.5417 in, marked to 1/16 in: 14 ft 2-9/16 in.")
}

// drawSpans is a stretch of a few bays, some on one grade.
func drawSpans(t *rapid.T) (*layout.Layout, spec.Spec) {
	widths := make([]string, rapid.IntRange(1, 9).Draw(t, "bays"))
	for i := range widths {
		widths[i] = fmt.Sprintf("%d in", rapid.IntRange(60, 94).Draw(t, "width"))
	}
	l := hill(strings.Join(widths, ", "))
	for i := range l.Bays {
		l.Bays[i].Rise = l.Bays[i].Width / 96 * measure.Length(rapid.IntRange(0, 1).Draw(t, "grade"))
	}
	s := sixFoot(twoBays, func(s *spec.Spec) { s.Rails.Count = rapid.IntRange(2, 4).Draw(t, "rails") })
	return l, s
}

// The pieces of a course are all its bays once and none over two that are not of
// one grade or that no stick reaches over; and where both an early and a late
// course are joined, a rail cannot go past.
func TestCoursesAreStaggered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, s := drawSpans(t)
		longest := measure.Length(rapid.IntRange(98, 192).Draw(t, "stick")) * measure.Inch
		x := spansUpTo(longest, l, &s)
		early, late := x.course(l.Stretches[0], false), x.course(l.Stretches[0], true)
		for _, course := range [][]piece{early, late} {
			next := 0
			for _, p := range course {
				if p.first != next || p.bays < 1 || p.bays > 2 || x.length(p) > longest {
					t.Fatalf("%v of %v", p, course)
				}
				if p.bays == 2 && (l.Bays[p.first].Rise*l.Bays[p.first+1].Width-l.Bays[p.first+1].Rise*l.Bays[p.first].Width).Abs() > 96*16*measure.Inch {
					t.Fatalf("%v goes over two grades", p)
				}
				next += p.bays
			}
			if next != len(l.Bays) {
				t.Fatalf("%v is not all of %d bays", course, len(l.Bays))
			}
		}
		for _, p := range early[1:] {
			joined := slices.ContainsFunc(late, func(q piece) bool { return q.first == p.first })
			if passable := x.pairs[p.first-1] > 0; joined && passable {
				t.Fatalf("%v and %v meet before bay %d", early, late, p.first)
			}
		}
	})
}

// Two bays never cost more than one where that is proven, and take no more nails.
func TestTwoBaysCostNoMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, s := drawSpans(t)
		offers := make(map[string]Offer)
		for _, item := range []string{"rail-2x4-8ft", "rail-2x4-12ft", "rail-2x4-16ft"} {
			if rapid.Bool().Draw(t, item) {
				offers[item] = Offer{Unit: Each, Price: decimal.MustNew(rapid.Int64Range(100, 3000).Draw(t, "price"), 2)}
			}
		}
		two, err := Count(l, s, offers)
		if err != nil {
			t.Fatal(err)
		}
		s.Rails.MaxSpan = 1
		one, err := Count(l, s, offers)
		if err != nil {
			t.Fatal(err)
		}
		a, b := one.Cuts[0].Plan, two.Cuts[0].Plan
		if b.Cost.Cmp(a.Cost) > 0 {
			t.Fatalf("two bays cost %s, one %s", b.Cost, a.Cost)
		}
		nails := func(k *Takeoff) decimal.Decimal {
			for _, line := range k.Lines {
				if line.Item == "nail-16d" {
					return line.Net
				}
			}
			return decimal.Zero
		}
		if nails(two).Cmp(nails(one)) > 0 {
			t.Fatalf("two bays take %s lb of nails, one %s", nails(two), nails(one))
		}
	})
}
