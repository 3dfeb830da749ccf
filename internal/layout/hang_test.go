package layout_test

import (
	"fmt"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// meshLike is a family that hangs neither boards nor rails.
const meshLike spec.Family = "test-mesh"

func init() { spec.Define(spec.Definition{Family: meshLike, Title: "Mesh"}) }

// mesh is a fence of meshLike, five feet high.
func mesh(l spec.Layout, posts spec.Posts) spec.Spec {
	return spec.Spec{Family: meshLike, Height: 5 * ft, Layout: l, Posts: posts}
}

func between8(l spec.Layout) spec.Layout {
	l.Hang, l.RailStock, l.MaxBay = spec.Between, 8*ft, 20*ft
	l.MinBay = new(ft)
	return l
}

func free(bay measure.Length) spec.Layout {
	return spec.Layout{Hang: spec.Free, MaxBay: bay}
}

// The bays and what hangs in them of one straight run between two free ends.
func TestHungBays(t *testing.T) {
	square := func(size, terminal section.Section) spec.Posts { return spec.Posts{Size: size, TerminalSize: terminal} }
	five := square("5vinyl", "")
	for _, c := range []struct {
		source, length string
		layout         spec.Layout
		posts          spec.Posts
		want, rails    string
	}{
		// LAY-2 (PBS Mathline "outdoors" activity 3, seen): face-mounted panels,
		// whose width is that of their bays.
		{"LAY-2", "100", spec.Layout{Hang: spec.Free, Method: spec.Remainder}, five, "12 x 8 ft, 4 ft", "12 x 8 ft, 4 ft"},
		{"LAY-2", "100", spec.Layout{Hang: spec.Free, Method: spec.Feathered, Feather: 1, ShortEnd: spec.Both}, five, "6 ft, 11 x 8 ft, 6 ft", "6 ft, 11 x 8 ft, 6 ft"},
		// LAY-4 (algebra.com 483835, seen): 32 ft, posts 6 in wide, 4 ft clear
		// between: 7 spaces, 8 posts; 31 ft 6 in from the first centre to the last.
		{"LAY-4", `31'6"`, spec.Layout{Hang: spec.Between, RailStock: 4 * ft}, square("6sq", ""), "7 x 4 ft 6 in", "7 x 4 ft"},

		// CHN-1 (homesteady.com 6110763; scribd 154728461, seen; 100 ft computed):
		// 8, 5 and 9 line posts.
		{"CHN-1", "84", free(10 * ft), square("2.375od", "2.875od"), "", "9 x 9 ft 4 in"},
		{"CHN-1", "54", free(10 * ft), square("2.375od", "2.875od"), "6 x 9 ft", "6 x 9 ft"},
		{"CHN-1", "100", free(10 * ft), square("2.375od", "2.875od"), "10 x 10 ft", "10 x 10 ft"},

		// DT-11 (NRCS practice 382 state sheets, seen): the widest spacings of wire
		// line posts; the lengths are whole multiples, and one foot more.
		{"DT-11 RI barbed", "660", free(measure.Must("16.5 ft")), square("tee", "4rd"), "40 x 16 ft 6 in", ""},
		{"DT-11 RI high tensile with a stay", "1000", free(50 * ft), square("tee", "4rd"), "20 x 50 ft", ""},
		{"DT-11 RI high tensile", "600", free(30 * ft), square("tee", "4rd"), "20 x 30 ft", ""},
		{"DT-11 KY", "280", free(14 * ft), square("tee", "4rd"), "20 x 14 ft", ""},
		{"DT-11 KY with stays", "180", free(18 * ft), square("tee", "4rd"), "10 x 18 ft", ""},
		{"DT-11 KY, computed", "283.5", free(14 * ft), square("tee", "4rd"), "21 x 13 ft 6 in", ""},

		// Trade 5.4: panels stand panel + post - 2 insertion + 2 bracket gap on
		// centre; the figures are computed.
		{"trade 5.4", "808in", between8(spec.Layout{Method: spec.Remainder}), five, "8 x 8 ft 5 in", "8 x 8 ft"},
		{"trade 5.4, in mortises", "768in", between8(spec.Layout{Method: spec.Remainder, Insertion: 5 * in / 2}), five, "8 x 8 ft", "8 x 8 ft"},
		{"trade 5.4, in brackets", "820in", between8(spec.Layout{Method: spec.Remainder, BracketGap: 3 * in / 4}), five, "8 x 8 ft 6-1/2 in", "8 x 8 ft"},
		// One bay of a stretch is cut, the others hold full panels.
		{"trade 5.4, one cut", "71", between8(spec.Layout{Method: spec.Remainder}), five, "8 x 8 ft 5 in, 3 ft 8 in", "8 x 8 ft, 3 ft 3 in"},
		{"trade 5.4, one cut at the start", "71", between8(spec.Layout{Method: spec.Remainder, ShortEnd: spec.Start}), five, "3 ft 8 in, 8 x 8 ft 5 in", "3 ft 3 in, 8 x 8 ft"},
		// Beside wider terminal posts bays are wider, and as full.
		{"trade 5.4, wide ends", "71", between8(spec.Layout{Method: spec.Remainder}), square("2sq", "4sq"), "8 ft 3 in, 7 x 8 ft 2 in, 5 ft 7 in", "8 x 8 ft, 5 ft 4 in"},
		{"trade 5.4, wide ends", "197in", between8(spec.Layout{}), square("2sq", "3sq"), "2 x 8 ft 2-1/2 in", "2 x 8 ft"},
		{"trade 5.4, one bay", "99in", between8(spec.Layout{}), square("2sq", "3sq"), "8 ft 3 in", "8 ft"},
		// The spec's widest bay still counts.
		{"trade 3", "808in", spec.Layout{Hang: spec.Between, RailStock: 12 * ft, MaxBay: 8 * ft}, five, "", "9 x 7 ft 0-3/4 in"},
	} {
		t.Run(c.source+" "+c.length, func(t *testing.T) {
			l := plan(t, "a: 0,0 "+c.length+",0", mesh(c.layout, c.posts))
			if got := widths(l.Bays, printed); c.want != "" && got != c.want {
				t.Errorf("widths %s\nwant   %s", got, c.want)
			}
			printedRail := func(b layout.Bay) measure.Length { return measure.RoundTo(b.Rail, measure.Sixteenth) }
			if got := widths(l.Bays, printedRail); c.rails != "" && got != c.rails {
				t.Errorf("rails %s\nwant  %s", got, c.rails)
			}
			if len(l.Cautions) > 0 {
				t.Errorf("cautions %v", l.Cautions)
			}
		})
	}
}

// AS-1 (ASTM F567-07 4.1, seen): line posts stand equidistant and at most 10 ft
// apart along the grade. On 3 in 4 that is 8 ft in plan: 100 ft along the grade
// are 80 ft in plan.
func TestFreeAlongTheGrade(t *testing.T) {
	f := mesh(free(10*ft), spec.Posts{Size: "2.375od", TerminalSize: "2.875od"})
	f.Slope.AlongGrade = new(true)
	l := plan(t, "a: 0,0 80,0 ground=0:0 ground=80:60", f)
	if got := widths(l.Bays, exact); got != "10 x 8 ft" {
		t.Errorf("bays %s", got)
	}
	if got := widths(l.Bays, rail); got != "10 x 10 ft" {
		t.Errorf("along the grade %s", got)
	}
	// A foot more takes one more post, and all bays are equal again.
	l = plan(t, "a: 0,0 81,0 ground=0:0 ground=81:60.75", f)
	for _, b := range l.Bays {
		if len(l.Bays) != 11 || (b.Rail-l.Bays[0].Rail).Abs() > 2 {
			t.Errorf("%d bays, %s along the grade and %s", len(l.Bays), b.Rail, l.Bays[0].Rail)
		}
	}
	// In plan it would be 8 bays.
	f.Slope.AlongGrade = nil
	if l = plan(t, "a: 0,0 80,0 ground=0:0 ground=80:60", f); len(l.Bays) != 8 {
		t.Errorf("%d bays in plan", len(l.Bays))
	}
	// Terminal posts stand where the grade breaks abruptly [AS-1, DT-2].
	f.Slope.AlongGrade, f.Alignment.Rules = new(true), "highway-chain-link"
	l = plan(t, "a: 0,0 100,0 ground=0:0 ground=40:0 ground=80:30 ground=100:30", f)
	var along []string
	for _, st := range l.Stretches {
		along = append(along, fmt.Sprint(st.Bays, " of ", l.Along(st)/measure.Length(st.Bays)))
	}
	if got := strings.Join(along, ", "); got != "4 of 10 ft, 5 of 10 ft, 2 of 10 ft" {
		t.Errorf("bays along the grade: %s", got)
	}
}

// Panels that rack stay full along the slope, which brings posts closer in plan:
// on 3 in 4, 8 ft are 6.4 ft, and the post is 5 in.
func TestRackedPanels(t *testing.T) {
	f := mesh(between8(spec.Layout{Method: spec.Remainder}), spec.Posts{Size: "5vinyl"})
	l := plan(t, "a: 0,0 70,0 ground=0:0 ground=70:52.5", f)
	full := 0
	for i, b := range l.Bays {
		if b.Rail == 8*ft {
			full++
		} else if i != len(l.Bays)-1 {
			t.Errorf("bay %d of %d takes a panel of %s", i, len(l.Bays), b.Rail)
		}
	}
	if l.Bays[0].Width != measure.Must("81.8 in") || full != len(l.Bays)-1 {
		t.Errorf("bays %s, %d full", widths(l.Bays, exact), full)
	}
}

// A gate that an attached end brings to a line post makes that post wider, and
// what hangs beside it shorter.
func TestHungBesideAnAttachedEnd(t *testing.T) {
	f := mesh(between8(spec.Layout{}), spec.Posts{Size: "2sq", TerminalSize: "4sq"})
	l := plan(t, "a: 0,0 294in,0\nb: of=a 98in,0 98in,20", f)
	if got := widths(l.Bays[:3], rail); got != "7 ft 10 in, 2 x 7 ft 11 in" {
		t.Errorf("rails %s", got)
	}
	for _, b := range l.Bays {
		if a, o := l.Posts[b.Start], l.Posts[b.End]; b.Rail != b.Width-(a.Width+o.Width)/2 {
			t.Errorf("%s from %s to %s takes %s", b.Width, a.Size, o.Size, b.Rail)
		}
	}
	if p := l.Posts[1]; p.Role != layout.Junction || p.Size != "4sq" {
		t.Errorf("a %s post of %s", p.Role, p.Size)
	}
}

// On ground whose grade changes full panels stay full too, all but the one at
// the short end, and even bays are equal along the grade [AS-1].
func TestHungOnChangingGround(t *testing.T) {
	const ground = " ground=0:0 ground=33:1 ground=61:9 ground=90:9 ground=120:3"
	for _, end := range []spec.End{spec.Start, spec.Finish} {
		f := mesh(between8(spec.Layout{Method: spec.Remainder, ShortEnd: end}), spec.Posts{Size: "5vinyl"})
		l := plan(t, "a: 0,0 120,0"+ground, f)
		for i, b := range l.Bays {
			if cut := i == 0 && end == spec.Start || i == len(l.Bays)-1 && end == spec.Finish; (b.Rail == 8*ft) == cut {
				t.Errorf("short at the %s: bay %d of %d takes %s", end, i, len(l.Bays), b.Rail)
			}
		}
		if got := caution(l, "posts-moved"); got != "" {
			t.Errorf("full panels off their places: %s", got)
		}
	}
	f := mesh(free(10*ft), spec.Posts{Size: "2.375od"})
	f.Slope.AlongGrade = new(true)
	l := plan(t, "a: 0,0 120,0"+ground, f)
	for _, b := range l.Bays { // but for a bay over a break of grade, which is a little shorter straight across
		if off := l.Bays[0].Rail - b.Rail; off < -2 || off > 2*in {
			t.Errorf("a bay of %s along the grade, the first of %s", b.Rail, l.Bays[0].Rail)
		}
	}
}
