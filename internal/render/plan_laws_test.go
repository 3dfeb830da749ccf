package render

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/site"
)

// fataler is a test, plain or of rapid.
type fataler interface {
	Helper()
	Errorf(string, ...any)
	Fatal(...any)
}

// checkPlan: the drawing is XML, nothing leaves the sheet, labels meet neither
// each other nor what is drawn and are of 6 points at least, and every stretch,
// gate, keep-out and obstacle is told.
func checkPlan(t fataler, st site.Site, l *layout.Layout, o PlanOptions) {
	t.Helper()
	p, err := drawPlan(st, l, o)
	if err != nil {
		t.Fatal(err)
	}
	checkSheet(t, p)
	told := map[string]int{}
	for i, a := range p.labels {
		for _, c := range a.box.corners() {
			if c.x < 0 || c.y < 0 || c.x > p.size.x || c.y > p.size.y {
				t.Errorf("%q leaves the sheet at %v", a.text, c)
			}
		}
		if a.size < 6 {
			t.Errorf("%q is set in %g points", a.text, a.size)
		}
		for _, b := range p.labels[:i] {
			if meet(a.box, b.box) {
				t.Errorf("%q and %q overlap", a.text, b.text)
			}
		}
		told[kindOf(a)]++
	}
	checkClear(t, p)
	for _, c := range p.byBay {
		bay := c.bays[0]
		a, b := p.bayEnds(bay)
		if !slices.ContainsFunc(p.labels, func(l label) bool {
			return l.text == tape(bay.Printed) && l.size == baySize && l.box.centre.sub(a.towards(b, 0.5)).length() < 30
		}) {
			t.Errorf("the width of the bay from %s is not told", l.Posts[bay.Start].ID)
		}
	}
	obstacles := 0
	for _, o := range st.Obstacles {
		obstacles += min(len(o.Path), 1)
	}
	for kind, want := range map[string]int{"stretch": len(p.pieces) - len(p.byBay), "gate": len(l.Openings), "keep-out": len(l.Barred), "obstacle": obstacles, "grade": p.grades - p.leftGrades} {
		if told[kind] != want {
			t.Errorf("%d of kind %s are told, want %d", told[kind], kind, want)
		}
	}
}

// kindOf is what a label tells.
func kindOf(l label) string {
	starts := func(words string) bool { return strings.HasPrefix(l.text, words) }
	switch {
	case l.size == dimensionSize, starts("Stretch "):
		return "stretch"
	case starts("gate ") && l.colour == blue, starts("Gate "):
		return "gate"
	case starts("keep-out") && l.colour == red, starts("Keep-out"):
		return "keep-out"
	case strings.Contains(l.text, ", clear by ") && l.colour == red, starts("Obstacle "):
		return "obstacle"
	case l.text == "", strings.HasSuffix(l.text, " %"):
		return "grade"
	}
	return ""
}

var places = regexp.MustCompile(`[MLZ ]|A[^ ]+ [^ ]+ 0 0 [01] `)

// checkSheet: the drawing is XML and every place of its paths is on the paper.
func checkSheet(t fataler, p *plan) {
	t.Helper()
	var b bytes.Buffer
	if err := p.draw.writeTo(&b, p.size, p.title); err != nil {
		t.Fatal(err)
	}
	decoder := xml.NewDecoder(&b)
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatal(err)
		}
		element, is := token.(xml.StartElement)
		if !is || element.Name.Local != "path" {
			continue
		}
		numbers := strings.Fields(places.ReplaceAllString(element.Attr[0].Value, " "))
		for i, n := range numbers {
			v, err := strconv.ParseFloat(n, 64)
			if limit := []float64{p.size.x, p.size.y}[i%2]; err != nil || !(v >= 0 && v <= limit) {
				t.Errorf("%s lies off the sheet in %s", n, element.Attr[0].Value)
				break
			}
		}
	}
}

// checkClear: no label covers a post, a barred part of the fence, the line of an
// obstacle or a neighbouring fence.
func checkClear(t fataler, p *plan) {
	t.Helper()
	clearOf := func(what string, a, b vec) {
		a, b, in := p.frame.clip(a, b)
		if !in {
			return
		}
		line := lineBox(a, b, 0.1)
		for _, l := range p.labels {
			if meet(l.box, line) && l.box.centre.y < p.high.y {
				t.Errorf("%q covers %s", l.text, what)
			}
		}
	}
	for _, post := range p.layout.Posts {
		at := p.at(post.At)
		clearOf(post.ID, at.sub(vec{0.1, 0}), at.add(vec{0.1, 0}))
	}
	for _, b := range p.layout.Barred {
		if b.Run < 0 || b.Run >= len(p.site.Runs) {
			continue
		}
		run := p.site.Runs[b.Run]
		for _, l := range run.Legs() {
			if from, to := max(b.From, l.Start), min(b.To, l.End); from < to {
				clearOf("keep-out "+b.ID, p.at(l.At(from)), p.at(l.At(to)))
			}
		}
	}
	for _, o := range p.site.Obstacles {
		for i := 1; i < len(o.Path); i++ {
			clearOf("obstacle "+o.ID, p.at(o.Path[i-1]), p.at(o.Path[i]))
		}
	}
	for i, r := range p.site.Runs {
		for _, n := range r.Neighbours {
			beside, _ := p.besideRun(i, n)
			for j := 1; j < len(beside); j++ {
				clearOf("a neighbouring fence", beside[j-1], beside[j])
			}
		}
	}
}

// meet reports whether two boxes overlap: no side of either parts them.
func meet(a, b box) bool {
	if a.centre.sub(b.centre).length() > math.Hypot(a.width, a.height)/2+math.Hypot(b.width, b.height)/2 {
		return false
	}
	for _, angle := range []float64{a.angle, a.angle + math.Pi/2, b.angle, b.angle + math.Pi/2} {
		sin, cos := math.Sincos(angle)
		along := func(b box) (low, high float64) {
			low, high = math.Inf(1), math.Inf(-1)
			for _, c := range b.corners() {
				low, high = min(low, c.x*cos+c.y*sin), max(high, c.x*cos+c.y*sin)
			}
			return low, high
		}
		lowA, highA := along(a)
		lowB, highB := along(b)
		if highA <= lowB || highB <= lowA {
			return false
		}
	}
	return true
}

func TestBoxesMeet(t *testing.T) {
	a := box{vec{0, 0}, 10, 2, 0}
	for _, c := range []struct {
		b    box
		want bool
	}{
		{box{vec{9, 0}, 10, 2, 0}, true},
		{box{vec{11, 0}, 10, 2, 0}, false},
		{box{vec{0, 5}, 10, 2, math.Pi / 2}, true},
		{box{vec{0, 7}, 10, 2, math.Pi / 2}, false},
		{box{vec{6, 6}, 10, 2, math.Pi / 4}, false},
	} {
		if got := meet(a, c.b); got != c.want {
			t.Errorf("%v and %v meet: %v", a, c.b, got)
		}
	}
}
