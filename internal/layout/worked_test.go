package layout_test

import (
	"fmt"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

const (
	in = measure.Inch
	ft = measure.Foot
)

// sixFoot is a six foot fence with all defaults but the layout's.
func sixFoot(l spec.Layout) spec.Spec { return spec.Spec{Height: 6 * ft, Layout: l} }

// noLimit switches the limit beside terminal posts off.
func noLimit(l spec.Layout) spec.Layout {
	off := false
	l.TerminalLimit = &off
	return l
}

func plan(t testing.TB, text string, f spec.Spec) *layout.Layout {
	t.Helper()
	l, err := layout.Plan(mustSite(text), f)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func codes(l *layout.Layout) string {
	var all []string
	for _, c := range l.Cautions {
		all = append(all, c.Code)
	}
	return strings.Join(all, " ")
}

// The bays of one straight run between two free ends of 4x4 posts.
func TestWorkedBays(t *testing.T) {
	feathered := func(k int, end spec.End) spec.Layout {
		return spec.Layout{Method: spec.Feathered, Feather: k, ShortEnd: end}
	}
	remainder := func(end spec.End) spec.Layout { return spec.Layout{Method: spec.Remainder, ShortEnd: end} }
	for _, c := range []struct {
		source  string
		length  string
		layout  spec.Layout
		want    string // exact widths
		printed string // to 1/16 in, where the exact ones are not
		caution string
	}{
		// 54 ft 6 in at 8 ft o.c., limits off (common practice).
		{"trade 3", `54'6"`, noLimit(remainder("")), "6 x 8 ft, 6 ft 6 in", "", ""},
		{"trade 3", `54'6"`, noLimit(remainder(spec.Start)), "6 ft 6 in, 6 x 8 ft", "", ""},
		{"trade 3", `54'6"`, noLimit(feathered(3, spec.Finish)), "4 x 8 ft, 3 x 7 ft 6 in", "", ""},
		{"trade 3", `54'6"`, noLimit(feathered(3, spec.Start)), "3 x 7 ft 6 in, 4 x 8 ft", "", ""},
		{"trade 3", `54'6"`, noLimit(spec.Layout{}), "", "3 x 7 ft 9-7/16 in, 7 ft 9-3/8 in, 3 x 7 ft 9-7/16 in", ""},

		// LAY-2 (PBS Mathline "outdoors" activity 3, seen): 100 ft of 8 ft
		// panels: 12 of 8 ft and one of 4 ft, or, symmetric, 11 and 2 of 6 ft.
		{"LAY-2", "100", noLimit(remainder("")), "12 x 8 ft, 4 ft", "", ""},
		{"LAY-2", "100", noLimit(feathered(1, spec.Both)), "6 ft, 11 x 8 ft, 6 ft", "", ""},

		// LAY-4 (algebra.com 483835, seen): 32 ft, posts 6 in wide, 4 ft clear
		// between: 7 spaces. From the first post's centre to the last's 31 ft 6.
		{"LAY-4", `31'6"`, noLimit(spec.Layout{MaxBay: 54 * in}), "7 x 4 ft 6 in", "", ""},

		// CHN-1 (homesteady.com 6110763; scribd 154728461, seen; 100 ft
		// computed): line posts are one less than these bays.
		{"CHN-1", "84", noLimit(spec.Layout{MaxBay: 10 * ft}), "", "9 x 9 ft 4 in", ""},
		{"CHN-1", "54", noLimit(spec.Layout{MaxBay: 10 * ft}), "6 x 9 ft", "", ""},
		{"CHN-1", "100", noLimit(spec.Layout{MaxBay: 10 * ft}), "10 x 10 ft", "", ""},

		// Limits on, 4x4 terminals, 8 ft stock: beside a terminal 94-1/4 in.
		{"issue 2", "664in", spec.Layout{}, "7 ft 10-1/4 in, 5 x 2415.54 mm, 7 ft 10-1/4 in", "", ""}, // 95.1 in
		{"trade 3, computed", "664in", remainder(""), "7 ft 10-1/4 in, 5 x 8 ft, 7 ft 5-3/4 in", "", ""},
		{"trade 3, computed", "664in", feathered(2, ""), "7 ft 10-1/4 in, 4 x 8 ft, 2 x 7 ft 8-7/8 in", "", ""},
		// Two share 190 in, but the last takes 94-1/4 at most.
		{"trade 3, computed", "668.25in", feathered(2, ""), "7 ft 10-1/4 in, 4 x 8 ft, 7 ft 11-3/4 in, 7 ft 10-1/4 in", "", ""},
		{"trade 3, computed", "92.5in", spec.Layout{}, "7 ft 8-1/2 in", "", ""}, // stock - w/2 - w/2
		{"trade 3, computed", "92.6in", spec.Layout{}, "2 x 1176.02 mm", "", ""},
		{"trade 3, computed", "188.5in", spec.Layout{}, "2 x 7 ft 10-1/4 in", "", ""},
		{"trade 3, computed", "189in", spec.Layout{}, "3 x 5 ft 3 in", "", ""},

		// Bays of 6 ft are cut from 8 ft sticks, so terminal posts limit none.
		{"computed", "12", spec.Layout{MaxBay: 6 * ft}, "2 x 6 ft", "", ""},

		// A bay under the least (32 in) widens the feather, then all are even.
		{"trade 3", "49", noLimit(remainder("")), "5 x 8 ft, 2 x 4 ft 6 in", "", "feather-widened"},
		{"trade 3", "50'8\"", noLimit(remainder("")), "6 x 8 ft, 2 ft 8 in", "", ""},
		{"trade 3", `8'6"`, noLimit(remainder("")), "2 x 4 ft 3 in", "", "even-fallback"},
		{"trade 3", "49", noLimit(feathered(1, spec.Both)), "4 ft 6 in, 5 x 8 ft, 4 ft 6 in", "", ""},
		{"trade 3", "33", noLimit(feathered(1, spec.Both)), "4 ft 6 in, 3 x 8 ft, 4 ft 6 in", "", ""},
		// The full bays alone, 94-1/4 + 96 in, are more than there is.
		{"trade 3, computed", "189in", remainder(""), "7 ft 10-1/4 in, 2 x 3 ft 11-3/8 in", "", "feather-widened"},
		{"trade 3", "2", noLimit(spec.Layout{}), "2 ft", "", "short-stretch"},
		{"trade 3", "2", noLimit(remainder("")), "2 ft", "", "short-stretch"},
		{"trade 3", "9", spec.Layout{MinBay: new(5 * ft)}, "2 x 4 ft 6 in", "", "bay-below-minimum"},
		{"trade 3", "16", noLimit(feathered(5, "")), "2 x 8 ft", "", ""}, // k >= n is even
	} {
		t.Run(fmt.Sprint(c.source, " ", c.length, " ", c.layout.Method, c.layout.ShortEnd), func(t *testing.T) {
			l := plan(t, "a: 0,0 "+c.length+",0", sixFoot(c.layout))
			if got := widths(l.Bays, exact); c.want != "" && got != c.want {
				t.Errorf("widths %s\nwant   %s", got, c.want)
			}
			if got := widths(l.Bays, printed); c.printed != "" && got != c.printed {
				t.Errorf("printed %s\nwant    %s", got, c.printed)
			}
			if got := codes(l); got != c.caution {
				t.Errorf("cautions %q, want %q", got, c.caution)
			}
			if got, want := len(l.Posts), len(l.Bays)+1; got != want {
				t.Errorf("%d posts, want %d", got, want)
			}
		})
	}
}

// LAY-5 (RIICCM201D learner guide p. 47, seen; the count computed): sides are
// not pooled. At 1.8 m they take 10+9+9+1+3 bays, not the 30 of their sum.
func TestSidesAreNotPooled(t *testing.T) {
	l := plan(t, "a: 0m,0m 17.03m,0m 17.03m,15m 2.03m,15m 2.03m,13.5m -2.47m,13.5m", sixFoot(noLimit(spec.Layout{MaxBay: measure.Must("1.8 m")})))
	var bays []int
	for _, s := range l.Stretches {
		bays = append(bays, s.Bays)
	}
	if got := fmt.Sprint(bays); got != "[10 9 9 1 3]" || len(l.Bays) != 32 {
		t.Errorf("bays %s, in all %d", got, len(l.Bays))
	}
}

// Rails lap terminal posts to the outer edge: a full-length rail reaches from
// there to the centre of the first line post (trade 3).
func TestRailLengths(t *testing.T) {
	for _, c := range []struct {
		layout spec.Layout
		want   string
	}{
		{spec.Layout{}, "8 ft, 5 x 2415.54 mm, 8 ft"},
		{spec.Layout{Method: spec.Remainder}, "6 x 8 ft, 7 ft 7-1/2 in"},
		{noLimit(spec.Layout{Method: spec.Remainder}), "6 x 8 ft, 7 ft 4 in"},
	} {
		if got := widths(plan(t, "a: 0,0 664in,0", sixFoot(c.layout)).Bays, rail); got != c.want {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
}

// Trade 4: a 6 ft fence takes an 8 ft post in a 30 in hole [AS-2] of 12 in (3 x
// 4 in, common practice), its gate posts 6 in deeper and bought at 10 ft.
func TestHoles(t *testing.T) {
	frost := sixFoot(spec.Layout{})
	frost.Holes = spec.Holes{FrostDepth: 42 * in}
	for _, c := range []struct {
		name       string
		spec       spec.Spec
		line, gate string
		cautions   string
	}{
		{"by height", sixFoot(spec.Layout{}),
			"4x4 8 ft in 1 ft x 2 ft 6 in: gravel 6 in, float 0 in, post 2 ft, by height",
			"6x6 10 ft in 1 ft 6 in x 3 ft: gravel 6 in, float 0 in, post 2 ft 6 in, by height+gate", "gate-lengthens-posts"},
		{"by frost", frost,
			"4x4 10 ft in 1 ft x 3 ft 6 in: gravel 6 in, float 0 in, post 3 ft, by frost",
			"6x6 10 ft in 1 ft 6 in x 4 ft: gravel 6 in, float 0 in, post 3 ft 6 in, by frost+gate", "frost-lengthens-posts"},
	} {
		l := plan(t, "a: 0,0 40,0 gate=g@12x4", c.spec)
		for _, p := range l.Posts {
			want := c.line
			if p.Role == layout.GateHinge || p.Role == layout.GateLatch {
				want = c.gate
			}
			got := fmt.Sprintf("%s %s in %s x %s: gravel %s, float %s, post %s, by %s", p.Size, p.Stock, p.Hole.Diameter, p.Hole.Depth,
				p.Hole.Gravel, p.Hole.Float, p.Hole.Embedment, p.Hole.Governs)
			if got != want {
				t.Errorf("%s: %s %s\n got %s\nwant %s", c.name, p.ID, p.Role, got, want)
			}
		}
		if got := codes(l); got != c.cautions {
			t.Errorf("%s: cautions %q, want %q", c.name, got, c.cautions)
		}
	}
}

func TestTooLarge(t *testing.T) {
	_, err := layout.Plan(mustSite("a: 0mi,0mi 200mi,0mi\nb: 0mi,1mi 200mi,1mi"), sixFoot(spec.Layout{MaxBay: 2 * ft}))
	if fault.KindOf(err) != fault.Exhausted {
		t.Errorf("got %v, want exhausted", err)
	}
}
