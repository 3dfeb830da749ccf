package render

import (
	"bytes"
	"io"
	"math"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// What no site should have is drawn as far as it makes sense, or listed.
func TestOddPlan(t *testing.T) {
	const far = measure.MaxLength
	for _, c := range []struct {
		name   string
		spoil  func(*site.Site, *layout.Layout)
		listed string
	}{
		{"an obstacle without points", func(st *site.Site, _ *layout.Layout) {
			st.Obstacles = []site.Obstacle{{ID: "nowhere", Clearance: measure.Foot}}
		}, ""},
		{"an obstacle out of sight", func(st *site.Site, _ *layout.Layout) {
			st.Obstacles = []site.Obstacle{{ID: "far", Clearance: measure.Foot, Path: []measure.Point{{East: far, North: far}}}}
		}, "Obstacle far, clear by 1': not on the drawing"},
		{"an obstacle from one end of the world to the other", func(st *site.Site, _ *layout.Layout) {
			st.Obstacles = []site.Obstacle{{ID: "dateline", Clearance: far, Path: []measure.Point{{East: -far, North: -far}, {East: far, North: far}, {East: far, North: far}}}}
		}, ""},
		{"an obstacle without clearance", func(st *site.Site, _ *layout.Layout) {
			st.Obstacles = []site.Obstacle{{ID: "tree", Path: []measure.Point{{East: 20 * measure.Foot, North: 9 * measure.Foot}}}}
		}, ""},
		{"a keep-out past the end of the run", func(_ *site.Site, l *layout.Layout) {
			l.Barred = []layout.Barred{{ID: "bog", From: 30 * measure.Foot, To: far}}
		}, ""},
		{"a keep-out beside the run", func(_ *site.Site, l *layout.Layout) {
			l.Barred = []layout.Barred{{ID: "bog", From: 50 * measure.Foot, To: 60 * measure.Foot}}
		}, "Keep-out bog, a 50' to 60': not on the run"},
		{"a keep-out the wrong way round", func(_ *site.Site, l *layout.Layout) {
			l.Barred = []layout.Barred{{ID: "bog", From: 9 * measure.Foot, To: 3 * measure.Foot}}
		}, "Keep-out bog, a 9' to 3': not on the run"},
		{"a keep-out of no run", func(_ *site.Site, l *layout.Layout) {
			l.Barred = []layout.Barred{{Run: 7, ID: "bog", To: 3 * measure.Foot}, {Run: -1, To: 3 * measure.Foot}}
		}, "Keep-out bog, run 8 0\" to 3': not on the run\nKeep-out, run 0 0\" to 3': not on the run"},
		{"a keep-out a hair wide", func(_ *site.Site, l *layout.Layout) {
			l.Barred = []layout.Barred{{ID: "wire", From: 9 * measure.Foot, To: 9*measure.Foot + 1}}
		}, ""},
		{"neighbours off the run, beyond the paper and in the fence", func(st *site.Site, _ *layout.Layout) {
			st.Runs[0].Neighbours = []site.Neighbour{{From: far, To: far}, {To: far, Gap: far}, {To: far, Gap: -far, Side: site.Right}, {To: measure.Foot}}
		}, ""},
		{"chords where there is no vertex", func(st *site.Site, _ *layout.Layout) { st.Runs[0].Chords = []int{-4, 0, 1, 9} }, ""},
		{"a cliff", func(_ *site.Site, l *layout.Layout) { l.Bays[0].Rise, l.Bays[1].Rise = math.MaxInt64, math.MinInt64 }, ""},
		{"bays of no width", func(_ *site.Site, l *layout.Layout) { l.Bays[0].Width, l.Bays[0].Rise = 0, measure.Foot }, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			st, l := mustPlan(t, "a: 0,0 40,0")
			c.spoil(&st, l)
			checkPlan(t, st, l, PlanOptions{})
			p, err := drawPlan(st, l, PlanOptions{})
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.Join(p.listed, "\n"); c.listed != "" && !strings.Contains(got, c.listed) || c.listed == "" && got != "" {
				t.Errorf("listed is %q, want %q", got, c.listed)
			}
			if err := LayoutText(io.Discard, st, l); err != nil {
				t.Error(err)
			}
		})
	}
}

// One dimension tells the equal chords of an arc; its tangents have their own.
func TestArcPieces(t *testing.T) {
	curve := "a: 0,45 60,45" + arc(60, 20, 25, 90, 0, 12) + " 85,0"
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"an arc between tangents", curve, []string{"60', 8 bays", "39' 2-7/8\", 12 bays of 3' 3-1/4\"", "20', 3 bays"}},
		{"tangent points named as inside the arc", strings.Replace(curve, " 60,45", " ~60,45", 1), []string{"60', 8 bays", "39' 2-7/8\", 12 bays of 3' 3-1/4\"", "20', 3 bays"}},
		{"a bend is no arc", "a: 0,0 20,0 40,1", []string{"20', 3 bays", "20' 0-5/16\", 3 bays"}},
		{"chords of two bays, unequal as printed", "a: 0,0 ~11,0 22,1", []string{"22' 0-9/16\", 4 bays"}},
	} {
		st, l := dressed(t, c.text, "")
		p, err := drawPlan(st, l, PlanOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, piece := range p.pieces {
			got = append(got, piece.words(ImperialMeasures)[0])
		}
		if strings.Join(got, "; ") != strings.Join(c.want, "; ") {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// An arrow beside an arc points downhill where it stands, wherever the arc
// began.
func TestFalls(t *testing.T) {
	for name, text := range map[string]string{
		"two half circles": "a: closed ~40,0" + strings.TrimSuffix(arc(0, 0, 40, 0, 360, 32), " 40.0000,-0.0000") + " ground=0:0,125.46:6,250.92:0",
		"half a circle":    "a: 40,0" + arc(0, 0, 40, 0, 180, 16) + " ground=0:0,125.46:6",
		"clockwise, down":  "a: 40,0" + arc(0, 0, 40, 360, 90, 24) + " ground=0:9,188:0",
		"stepped":          "a: 40,0" + arc(0, 0, 40, 0, 270, 24) + " ground=0:0,188:9 stepped=0-189",
	} {
		st, l := dressed(t, text, "")
		checkPlan(t, st, l, PlanOptions{})
		p, err := drawPlan(st, l, PlanOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if len(p.falls) == 0 {
			t.Errorf("%s: no arrow", name)
		}
		for _, arrow := range p.falls {
			beside, nearest := 0.0, math.Inf(1)
			for _, b := range l.Bays {
				from, to := p.bayEnds(b)
				if far := from.towards(to, 0.5).sub(arrow[0].towards(arrow[1], 0.5)).length(); far < nearest {
					d, up := arrow[1].sub(arrow[0]), to.sub(from).times(float64(b.Rise))
					beside, nearest = d.x*up.x+d.y*up.y, far
				}
			}
			if beside >= 0 {
				t.Errorf("%s: the arrow from %v to %v points uphill", name, arrow[0], arrow[1])
			}
		}
	}
}

// Names are written as text, whatever they hold.
func TestOddNames(t *testing.T) {
	st, l := dressed(t, "a: 0,0 40,0 keep=<k>@9-12 near=0-40@3\nobstacle <o>&\"\x01 2: 0,8 40,8", "")
	var b bytes.Buffer
	if err := PlanSVG(&b, st, l, PlanOptions{}); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"<k>", "<o>", "\x01"} {
		if strings.Contains(b.String(), bad) {
			t.Errorf("%q was not escaped", bad)
		}
	}
	for _, good := range []string{"keep-out &lt;k&gt; 9' to 12'", "&lt;o&gt;&amp;"} {
		if !strings.Contains(strings.ReplaceAll(b.String(), "&#39;", "'"), good) {
			t.Errorf("%q is not there", good)
		}
	}
	checkPlan(t, st, l, PlanOptions{})
}

// However long a name is, the figures and the warning beside it are whole.
func TestLongNames(t *testing.T) {
	for _, n := range []int{1, 28, 64} {
		id := strings.Repeat("W", n)
		text := strings.ReplaceAll("ID: 0,0 60,0 60,30 gate=ID@20x16x2 keep=ID@48-50 keep=ID@53-56 keep=ID@64-67\nobstacle ID 1.5: -60,20 90,25", "ID", id)
		st, l := dressed(t, text, "")
		checkPlan(t, st, l, PlanOptions{})
		checkCrewSheet(t, st, l, CrewOptions{Spec: sixFeet})
		p, err := drawPlan(st, l, PlanOptions{})
		if err != nil {
			t.Fatal(err)
		}
		c, err := drawCrewSheet(st, l, CrewOptions{Spec: sixFeet})
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range []struct {
			labels []label
			end    string
			times  int
		}{
			{p.labels, " 48' to 50'", 1}, {p.labels, " 53' to 56'", 1}, {p.labels, " 64' to 67'", 1},
			{p.labels, ", clear by 1' 6\"", 1}, {p.labels, " 16'", 1},
			{c.labels, "48' to 50': no digging", 1}, {c.labels, ": 16' clear between faces, posts 16' 5-1/2\" on centre, 2 leaves of 7' 11\"", 1},
			{c.labels, "...", 0}, {p.labels, "...", 0},
		} {
			found := 0
			for _, label := range want.labels {
				if strings.HasSuffix(label.text, want.end) && label.text != "run "+shortened(id, labelSize, 90) {
					found++
				}
			}
			if found != want.times {
				t.Errorf("%d letters: %q is told %d times, want %d", n, want.end, found, want.times)
			}
		}
	}
}
