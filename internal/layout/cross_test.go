package layout_test

import (
	"fmt"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// crossings are the texts of a layout's cautions about crossings.
func crossings(l *layout.Layout) (texts []string) {
	for _, c := range l.Cautions {
		if c.Code == "runs-cross" || c.Code == "crossings-not-checked" {
			texts = append(texts, c.Text)
		}
	}
	return texts
}

func TestCrossings(t *testing.T) {
	for _, c := range []struct {
		name, site string
		want       []string // the start of each caution
	}{
		{"none", "a: 0,0 20,0 20,20 0,20", nil},
		{"loop", "a: 0,0 20,0 20,20 0,20 closed", nil},
		{"a figure of eight", "a: 0,0 20,20 20,0 0,16", []string{`Run "a" crosses or touches itself: its leg from 0 in to 28 ft 3-7/16 in and its leg from 48 ft 3-7/16 in`}},
		{"a cross", "a: 0,10 20,10\nb: 10,0 10,20", []string{`Run "a" between 0 in and 20 ft and run "b" between 0 in and 20 ft cross or touch`}},
		{"a cross with a vertex of each", "a: 0,10 10,10 20,10\nb: 10,0 10,10 10,20", nil},
		{"a cross with a vertex of one", "a: 0,10 20,10\nb: 10,0 10,10 10,20", []string{`Run "a"`}},
		{"an end at another run", "a: 0,0 20,0\nb: 10,0 10,20", nil},
		{"an end within w/2 of another run", "a: 0,0 20,0\nb: 10,1.7in 10,20", []string{`Run "a"`}},
		{"an end clear of another run", "a: 0,0 20,0\nb: 10,1.8in 10,20", nil},
		{"a wall clear of another run", "a: 0,0 20,0\nb: wall 10,1.7in 10,20", nil},
		{"an end at a vertex", "a: 0,0 10,0 20,0\nb: 10,0 10,20", nil},
		{"an end at a gate post", "a: 0,0 40,0 gate=g@10x3\nb: 118.25in,0 118.25in,20", nil},
		{"a run through a gate", "a: 0,0 40,0 gate=g@10x3\nb: 138in,-10 138in,20", []string{`Run "a"`}},
		{"the same line twice", "a: 0,0 7,0\nb: 0,0 7,0", []string{`Run "a"`}},
		{"the same line from a shared end", "a: 0,0 20,0\nb: 0,0 7,0", []string{`Run "a"`}},
		{"one line, end to end", "a: 0,0 20,0\nb: 20,0 40,0", nil},
		{"one line, apart", "a: 0,0 20,0\nb: 21,0 40,0", nil},
		{"one line, overlapping", "a: 0,0 20,0\nb: 13,0 33,0", []string{`Run "a"`}},
		{"straight back", "a: 0,0 20,0 13,0", []string{`Run "a" crosses or touches itself`}},
		{"parallel", "a: 0,0 20,0\nb: 0,1 20,1", nil},
		{"a comb: one caution for each pair of runs", "a: 0,0 40,0\nb: -1,1 10,-1 20,1 30,-1 41,1\nc: 39,-1 39,1", []string{`Run "a" between 0 in and 40 ft and run "b"`, `Run "a" between 0 in and 40 ft and run "c"`, `Run "b"`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := layout.PlanAs(1, mustSite(c.site), sixFoot(spec.Layout{}))
			if err != nil {
				t.Fatal(err)
			}
			got := crossings(l)
			ok := len(got) == len(c.want)
			for i := range c.want {
				ok = ok && strings.HasPrefix(got[i], c.want[i])
			}
			if !ok {
				t.Errorf("got  %s\nwant %s", strings.Join(got, "\n     "), strings.Join(c.want, "\n     "))
			}
		})
	}
}

// Many crossings are counted, and a thicket of legs is given up on in time,
// saying so.
func TestManyCrossings(t *testing.T) {
	// Half of the runs go east, half north, each a foot from the next; six
	// inches off, so that line posts stand apart.
	weave := func(n int) site.Site {
		var s site.Site
		for i := range n {
			at, far := measure.Length(i+1)*ft+6*in, measure.Length(n+1)*ft
			s.Runs = append(s.Runs,
				site.Run{ID: fmt.Sprint("e", i), Vertices: []measure.Point{{East: 0, North: at}, {East: far, North: at}}},
				site.Run{ID: fmt.Sprint("n", i), Vertices: []measure.Point{{East: at, North: 0}, {East: at, North: far}}})
		}
		return s
	}
	for _, c := range []struct {
		n    int
		last string
	}{
		{5, `Run "e4"`},
		{10, "50 further pairs of runs cross or touch without a shared post."},
		{1000, "The site's 2000 legs lie too close together"},
	} {
		l, err := layout.PlanAs(1, weave(c.n), sixFoot(spec.Layout{MaxBay: 100 * ft}))
		if err != nil {
			t.Fatal(err)
		}
		got := crossings(l)
		if want := min(c.n*c.n, 51); len(got) < want || !strings.HasPrefix(got[len(got)-1], c.last) {
			t.Errorf("%d by %d: %d cautions, the last %s", c.n, c.n, len(got), got[len(got)-1])
		}
	}
}
