package render

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

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

// failer is a test of either kind.
type failer interface {
	Helper()
	Errorf(string, ...any)
	Fatal(...any)
}

// checkElevation draws a run and holds the drawing against its laws.
func checkElevation(t failer, st site.Site, l *layout.Layout, run int, o ElevationOptions) {
	t.Helper()
	e, err := drawElevation(st, l, run, o)
	if err != nil {
		t.Fatal(err)
	}
	checkPages(t, &e.pages, elevationMargin-1)
	if !slices.Equal(e.drawn, walk(st, l)[run]) {
		t.Errorf("posts drawn: %v, want each on the run once: %v", e.drawn, walk(st, l)[run])
	}
	told := map[string]int{}
	for _, label := range e.labels {
		told[label.text]++
	}
	missing := 0
	for _, v := range e.drawn {
		if id := shortened(l.Posts[v.post].ID, baySize, 60); told[id] == 0 {
			missing++
		}
	}
	if missing > e.leftPosts {
		t.Errorf("%d posts are not named, but only %d are said to have had no room", missing, e.leftPosts)
	}
	for _, s := range e.strips {
		if wide := float64(s.to-s.from) * e.across; wide > e.roomAcross()+0.01 || s.base > e.size.y-elevationMargin-elevationFoot {
			t.Errorf("a strip of %g points, down to %g, is larger than its sheet", wide, s.base)
		}
	}
}

// checkPages holds sheets against what is true of all of them: the document can
// be read, text is 6 pt at least, stands on its sheet, and on no other text.
func checkPages(t failer, p *pages, border float64) {
	t.Helper()
	var b bytes.Buffer
	if err := p.finish(&b, "checked"); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") {
		t.Errorf("the drawing has places that are no numbers")
	}
	decoder := xml.NewDecoder(&b)
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		start, _ := token.(xml.StartElement)
		for _, a := range start.Attr {
			if size, err := strconv.ParseFloat(a.Value, 64); a.Name.Local == "font-size" && (err != nil || size < 6) {
				t.Errorf("text of size %s", a.Value)
			}
		}
	}
	sheets := make([][]label, p.count)
	for _, a := range p.labels {
		sheet := int(math.Floor(a.box.centre.y / p.size.y))
		for _, c := range a.box.corners() {
			y := c.y - float64(sheet)*p.size.y
			if c.x < border || y < border || c.x > p.size.x-border || y > p.size.y-border {
				t.Errorf("%q leaves its sheet at %v", a.text, c)
			}
		}
		for _, b := range sheets[sheet] {
			if meet(a.box, b.box) {
				t.Errorf("%q and %q overlap", a.text, b.text)
			}
		}
		sheets[sheet] = append(sheets[sheet], a)
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

// Any site that can be laid out can be drawn, whatever ground it gets.
func TestAnyElevation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.SampledFrom([]int64{10, 100, 900}).Draw(t, "size")
		inches := func(name string, low, high int64) measure.Length {
			return measure.Length(rapid.Int64Range(low, high).Draw(t, name)) * measure.Inch
		}
		r := site.Run{ID: "r", Closed: rapid.Bool().Draw(t, "closed")}
		for range rapid.IntRange(2, 5).Draw(t, "vertices") {
			r.Vertices = append(r.Vertices, measure.Point{East: inches("east", 0, size*12), North: inches("north", 0, size*12)})
		}
		r.Start.TieIn = rapid.Bool().Draw(t, "wall")
		if rapid.Bool().Draw(t, "gated") {
			r.Gates = []site.Gate{{ID: "g", Station: measure.Foot, Width: 3 * measure.Foot, Leaves: rapid.IntRange(1, 2).Draw(t, "leaves")}}
		}
		st := site.Site{Runs: []site.Run{r}}
		l, err := layout.Plan(st, sixFeet)
		if err != nil {
			t.Skip(err)
		}
		var at measure.Length
		for range rapid.IntRange(0, 6).Draw(t, "points") {
			st.Runs[0].Ground = append(st.Runs[0].Ground, site.GroundPoint{Station: at, Elevation: inches("elevation", -size*6, size*6)})
			at += inches("apart", 1, size*12)
		}
		onGround(st, l, rapid.Bool().Draw(t, "stepped"))
		for i := range rapid.IntRange(0, 3).Draw(t, "barred") {
			from := inches("from", 0, size*24)
			l.Barred = append(l.Barred, layout.Barred{ID: fmt.Sprint("k", i), From: from, To: from + inches("wide", 1, 120)})
		}
		checkElevation(t, st, l, 0, ElevationOptions{Paper: rapid.SampledFrom([]string{"letter", "a4"}).Draw(t, "paper"), Spec: sixFeet})
		checkCrewSheet(t, st, l, CrewOptions{Spec: sixFeet})
	})
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
