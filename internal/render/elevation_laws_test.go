package render

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

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
		if wide := float64(s.to-s.from) * e.across; wide > e.roomAcross()+0.01 || s.base > e.size.y-elevationMargin-e.foot {
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

// Any site that can be laid out can be drawn, whatever ground it gets.
func TestAnyElevation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := fences[rapid.SampledFrom(slices.Sorted(maps.Keys(fences))).Draw(t, "fence")].spec
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
			r.Gates[0].Slides = r.Gates[0].Leaves == 1 && rapid.Bool().Draw(t, "slides")
			if r.Gates[0].Slides {
				r.Gates[0].Hinge = site.HingeFinish
			}
		}
		st := site.Site{Runs: []site.Run{r}}
		l, err := layout.Plan(st, s)
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
		checkElevation(t, st, l, 0, ElevationOptions{Paper: rapid.SampledFrom([]string{"letter", "a4"}).Draw(t, "paper"), Spec: s})
		checkCrewSheet(t, st, l, CrewOptions{Spec: s})
	})
}
