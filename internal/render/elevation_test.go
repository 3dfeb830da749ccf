package render

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

func TestElevation(t *testing.T) {
	for name, job := range elevations {
		t.Run(name, func(t *testing.T) {
			st, l := job(t)
			for _, paper := range []string{"letter", "a4"} {
				o := ElevationOptions{Title: "The " + name + " job", Paper: paper, Spec: sixFeet}
				checkElevation(t, st, l, 0, o)
				var b, again bytes.Buffer
				if err := errors.Join(ElevationSVG(&b, st, l, 0, o), ElevationSVG(&again, st, l, 0, o)); err != nil {
					t.Fatal(err)
				}
				if !bytes.Equal(b.Bytes(), again.Bytes()) {
					t.Error("drawn differently a second time")
				}
				if paper == "letter" && slices.Contains([]string{"ten-feet", "stepped", "loop"}, name) {
					golden(t, "elevation-"+name+".svg", b.Bytes())
				}
			}
		})
	}
}

// What a drawing of the yard says, and where.
func TestElevationTells(t *testing.T) {
	st, l := elevations["stepped"](t)
	e, err := drawElevation(st, l, 0, ElevationOptions{Spec: sixFeet})
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, label := range e.labels {
		all = append(all, label.text)
	}
	for _, want := range []string{
		"keep out gas 28' 6\" to 31' 6\"", "keep out root 124' to 125'",
		"gate walk 4'", "gate drive 10'", "turns right 90 deg", "wall",
		"5\"",      // the first step: 7' 5-11/16" at 2-1/2 ft in 45 ft
		"fill 5\"", // the gap of 7 in that it leaves, less the clearance
		"11.99",    // ground at P1, 1-3/4 in from the start at 12 ft
		"existing post, kept", "P22", "150'", "10' 5-1/2\"",
	} {
		if !slices.Contains(all, want) {
			t.Errorf("%q is not told", want)
		}
	}
	if strings.Contains(e.headline(), "vertical") || e.leftMarks+e.leftBays+e.leftPosts > 0 {
		t.Errorf("%s; %d marks, %d bays and %d posts had no room", e.headline(), e.leftMarks, e.leftBays, e.leftPosts)
	}
	st, l = elevations["hills"](t)
	if e, err = drawElevation(st, l, 0, ElevationOptions{Spec: sixFeet}); err != nil || !strings.Contains(e.headline(), "vertical scale 1.5 x horizontal") || len(e.strips) < 10 {
		t.Errorf("%d strips, %s, %v", len(e.strips), e.headline(), err)
	}
}

func TestElevationOfOddInput(t *testing.T) {
	far := measure.Length(math.MaxInt64)
	post := func(station measure.Length) layout.Post {
		return layout.Post{ID: "P", Visits: []layout.Visit{{Run: 0, Station: station}}, AboveGrade: 6 * measure.Foot, Hole: layout.Hole{Depth: 3 * measure.Foot, Diameter: measure.Foot}}
	}
	stretch := []layout.Stretch{{FirstBay: -1, Bays: 5}, {Run: 7, Bays: 1}}
	for name, c := range map[string]struct {
		run  site.Run
		l    layout.Layout
		want string // of the error
	}{
		"nothing":         {},
		"one vertex":      {run: site.Run{Vertices: make([]measure.Point, 1)}},
		"zero length":     {run: site.Run{Vertices: make([]measure.Point, 3), Closed: true, Start: site.Terminus{TieIn: true}}, l: layout.Layout{Posts: []layout.Post{post(0), post(0)}}},
		"a lone post":     {l: layout.Layout{Posts: []layout.Post{post(40 * measure.Foot)}}},
		"before start":    {l: layout.Layout{Posts: []layout.Post{post(-40 * measure.Foot), post(0)}}},
		"bays of nothing": {l: layout.Layout{Posts: []layout.Post{post(0)}, Stretches: stretch, Bays: []layout.Bay{{End: 3}, {Stretch: 9, Start: -1, Width: measure.Foot}, {Width: -measure.Foot}, {Width: 1}}}},
		"gates of nothing": {l: layout.Layout{Posts: []layout.Post{post(0)}, Openings: []layout.Opening{
			{Start: 4, End: 5}, {Span: -measure.Foot}, {Run: -1}, {Span: measure.Foot, LeafWidth: 90 * measure.Foot}}}},
		"barred backwards":    {l: layout.Layout{Barred: []layout.Barred{{From: 9, To: 2}, {Run: 4, To: far}, {From: -far, To: far}}}},
		"visits elsewhere":    {l: layout.Layout{Posts: []layout.Post{{Visits: []layout.Visit{{Run: 3}, {Run: -1}}}}}},
		"ground out of order": {run: site.Run{Ground: profile("9 5; 3 40; 3 -2")}, l: layout.Layout{Posts: []layout.Post{post(0), post(90 * measure.Foot)}}},
		"a far post":          {l: layout.Layout{Posts: []layout.Post{post(far), post(-far - 1)}}, want: "longest run"},
		"a wide hole":         {l: layout.Layout{Posts: []layout.Post{{Visits: make([]layout.Visit, 1), Hole: layout.Hole{Diameter: measure.MaxLength, Depth: 1, Gravel: measure.MaxLength}}}}},
	} {
		t.Run(name, func(t *testing.T) {
			st := site.Site{Runs: []site.Run{c.run}}
			err := ElevationSVG(io.Discard, st, &c.l, 0, ElevationOptions{Spec: spec.Spec{Rails: spec.Rails{Count: 1 << 40}}})
			if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v, want %q", err, c.want)
			}
			if c.want == "" {
				checkElevation(t, st, &c.l, 0, ElevationOptions{})
			}
			checkCrewSheet(t, st, &c.l, CrewOptions{})
		})
	}
	st, l := mustPlan(t, plans["yard"])
	for _, run := range []int{-1, 1, math.MaxInt} {
		if err := ElevationSVG(io.Discard, st, l, run, ElevationOptions{}); err == nil || !strings.Contains(err.Error(), "1 run") {
			t.Errorf("run %d: %v", run, err)
		}
	}
	if err := ElevationSVG(io.Discard, st, l, 0, ElevationOptions{Paper: "a3"}); err == nil || !strings.Contains(err.Error(), "letter or a4") {
		t.Errorf("paper a3: %v", err)
	}
	if err := ElevationSVG(&full{}, st, l, 0, ElevationOptions{}); err == nil {
		t.Error("a writer that fails is not noticed")
	}
}

func TestElevationText(t *testing.T) {
	st, l := mustPlan(t, "a<&\"\x01b: 0,0 40,0 gate=<i>@9x4")
	l.Posts[1].ID = "<P>" + strings.Repeat("W", 80)
	l.Barred = []layout.Barred{{ID: strings.Repeat("</g>", 50), From: measure.Foot, To: 2 * measure.Foot}}
	o := ElevationOptions{Title: "</title> & \x00\uFFFE" + strings.Repeat("long ", 200), Spec: sixFeet}
	checkElevation(t, st, l, 0, o)
	checkCrewSheet(t, st, l, CrewOptions{Title: o.Title, Spec: spec.Spec{Name: "<b>"}})
	var b bytes.Buffer
	if err := errors.Join(ElevationSVG(&b, st, l, 0, o), CrewSheetSVG(&b, st, l, CrewOptions{})); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"<i>", "<P>", "<b>", "\x01", "</g></g>"} {
		if strings.Contains(b.String(), bad) {
			t.Errorf("%q was not escaped", bad)
		}
	}
}

func TestApart(t *testing.T) {
	for _, c := range []struct{ at, wide, want []float64 }{
		{nil, nil, nil},
		{[]float64{0, 10}, []float64{4, 4}, []float64{0, 10}},
		{[]float64{0, 2}, []float64{4, 4}, []float64{-1, 3}},
		{[]float64{0, 2, 20}, []float64{4, 4, 4}, []float64{-1, 3, 20}},
		{[]float64{5, 5, 5}, []float64{2, 4, 2}, []float64{2, 5, 8}},
	} {
		got := apart(c.at, c.wide)
		if len(got) != len(c.want) {
			t.Fatalf("%v of %v wide: %v", c.at, c.wide, got)
		}
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 1e-9 {
				t.Errorf("%v of %v wide: %v, want %v", c.at, c.wide, got, c.want)
			}
		}
	}
}

// Elevations stand beside the first hole, however wide it is drawn.
func TestLevelsBesideHoles(t *testing.T) {
	for _, text := range []string{"a: 0,0 10,0", "a: 0,0 5,0", "a: wall 0,0 14,0"} {
		st, l := mustPlan(t, text)
		st.Runs[0].Ground = profile("0 0; 10 -1")
		onGround(st, l, false)
		e, err := drawElevation(st, l, 0, ElevationOptions{Spec: sixFeet})
		if err != nil {
			t.Fatal(err)
		}
		s, v := &e.strips[0], e.walk[0]
		p := e.post(v)
		deep := float64(p.Hole.Depth) * e.up
		hole := box{e.at(s, v.station, p.Ground).add(vec{0, deep / 2}), float64(p.Hole.Diameter) * e.across, deep, 0}
		levels := 0
		for _, label := range e.labels {
			if !strings.HasSuffix(label.text, " ft") || label.size != baySize {
				continue
			}
			if levels++; meet(label.box, hole) {
				t.Errorf("%s: %q stands in the hole", text, label.text)
			}
		}
		if levels < len(e.levels(s)) || levels < 5 {
			t.Errorf("%s: %d elevations are told, want %d", text, levels, len(e.levels(s)))
		}
	}
}

func TestTurnWords(t *testing.T) {
	// Quarters of radius 20 ft are laid as four chords, each 40 ft x sin 11.25 deg =
	// 7.8036 ft, so that one is 31' 2-9/16" long; of both ends' tangents.
	quarter := "a: 0,0 ~50,0" + arc(50, 20, 20, -90, 0, 4)
	left := arc(50, 20, 20, -90, 0, 4)
	smoothly := func(text string) string { // the last vertex is one inside the arc
		i := strings.LastIndex(text, " ")
		return text[:i+1] + "~" + text[i+1:]
	}
	for _, c := range []struct {
		name, text string
		want       string // by vertex, those that are told
	}{
		{"an arc that ends smoothly, then straight on", smoothly(quarter) + " 70,50", `1 curves left to 81' 2-9/16"`},
		{"a tangent as long as a chord", smoothly(quarter) + " 70,27.8036", `1 curves left to 81' 2-9/16"`},
		{"an arc that ends in a corner", quarter + " 100,20", `1 curves left to 81' 2-9/16"; 5 turns right 78.8 deg`},
		{"an arc that begins in a corner", "a: 50,-50 50,0" + left, `1 turns right 78.8 deg, curves left to 81' 2-9/16"`},
		{"an arc from the start of the run", "a: 50,0" + smoothly(left) + " 70,50", `0 curves left to 31' 2-9/16"`},
		{"left, then right", smoothly(quarter) + smoothly(arc(90, 20, 20, 180, 90, 4)) + " 120,40",
			`1 curves left to 81' 2-9/16"; 5 curves right to 112' 5-1/8"`},
		{"left, then right on a larger circle", smoothly(quarter) + smoothly(arc(100, 20, 30, 180, 90, 4)) + " 120,50",
			`1 curves left to 81' 2-9/16"; 5 curves right to 128' 0-7/16"`},
		{"a loop whose arc ends at its start", "a: closed ~20,0 20,60 -20,60 ~-20,0" + strings.TrimSuffix(arc(0, 0, 20, 180, 360, 8), " 20.0000,-0.0000"),
			`1 turns left 90 deg; 2 turns left 90 deg; 3 curves left to 222' 5-1/8"`},
		{"a circle", "a: closed ~20,0" + strings.TrimSuffix(arc(0, 0, 20, 0, 360, 12), " 20.0000,-0.0000"), `0 curves left to 124' 2-13/16"`},
		{"bends declared as an arc that are none", "a: 0,0 10,0 ~20,2 ~30,6 40,6", "1 turns left 11.3 deg; 2 turns left 10.5 deg; 3 turns right 21.8 deg"},
		{"straight on", "a: 0,0 20,0 40,0", ""},
	} {
		st, l := mustPlan(t, c.text)
		e, err := drawElevation(st, l, 0, ElevationOptions{Spec: sixFeet})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for i := range e.legs {
			if words := e.turnWords(i); words != "" {
				got = append(got, fmt.Sprint(i, " ", words))
			}
		}
		if strings.Join(got, "; ") != c.want {
			t.Errorf("%s: %q, want %q", c.name, strings.Join(got, "; "), c.want)
		}
		checkElevation(t, st, l, 0, ElevationOptions{Spec: sixFeet})
	}
}
