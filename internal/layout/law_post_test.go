package layout_test

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// Every post stands where its stations say, is named in walking order, carries
// a hole that adds up and a stock that is long enough, has fence or a gate, and
// is dug outside what is barred; and every pin has its post.
func TestPostLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, f, l := drawPlan(t)
		s = settled(s, l)
		used := make([]bool, len(l.Posts))
		for _, b := range l.Bays {
			used[b.Start], used[b.End] = true, true
		}
		for _, o := range l.Openings {
			used[o.Start], used[o.End] = true, true
			a, b := l.Posts[o.Start], l.Posts[o.End]
			off := o.Span - o.Clear - (a.Width+b.Width)/2
			said := slices.ContainsFunc(l.Cautions, func(c layout.Caution) bool { return c.Code == "clear-opening-differs" })
			if off.Abs() > in/8 && !said || min(a.Role, b.Role) < layout.GateLatch {
				t.Errorf("gate %q of %s spans %s between a %s and a %s post", o.Gate, o.Clear, o.Span, a.Role, b.Role)
			}
		}
		walked, again := layout.Visit{Run: -1}, false
		for i, p := range l.Posts {
			if p.ID != fmt.Sprint("P", i+1) {
				t.Errorf("post %d is called %s", i, p.ID)
			}
			if !used[i] {
				t.Errorf("%s stands for nothing", p.ID)
			}
			first := p.Visits[0]
			switch startsAgain := first.Run == walked.Run && first.Station < walked.Station; {
			case startsAgain && s.Runs[first.Run].Closed && !again: // through the start
				again = true
			case first.Run < walked.Run, startsAgain, first == walked:
				t.Errorf("%s at %+v follows %+v", p.ID, first, walked)
			case first.Run > walked.Run:
				again = false
			}
			walked = first
			for j, v := range p.Visits {
				off := s.Runs[v.Run].PointAt(v.Station).DistanceTo(p.At)
				// The first vertex of a loop may lie 1/8 in off the side that goes on through it.
				if j == 0 && off > 1 && !(s.Runs[v.Run].Closed && off <= in/8) || off > in/8*measure.Length(len(p.Visits)) {
					t.Errorf("%s stands %s off its station %s", p.ID, off, v.Station)
				}
			}
			h := p.Hole
			switch {
			case p.Existing:
				if p.Stock != 0 || h != (layout.Hole{}) {
					t.Errorf("the old post %s is bought: %+v", p.ID, p)
				}
			case h.Depth != h.Gravel+h.Float+h.Embedment || p.Stock+measure.Millimetre/1000 < p.AboveGrade+h.Embedment || !slices.Contains(f.Posts.Stock, p.Stock):
				t.Errorf("%s of %s in a hole of %+v", p.ID, p.Stock, h)
			}
			if p.Role == layout.Line && (len(p.Visits) != 1 || p.Size != f.Posts.Size || p.Existing) {
				t.Errorf("line post %+v", p)
			}
			for _, v := range p.Visits {
				outside(t, s, l, p, v)
			}
		}
		for i, r := range s.Runs {
			for _, pin := range r.Pins {
				pinned(t, r, l, i, pin)
			}
		}
	})
}

// outside notes a post that is bought and whose hole reaches into an interval
// that is barred on the run.
func outside(t *rapid.T, s site.Site, l *layout.Layout, p layout.Post, v layout.Visit) {
	if p.Existing {
		return
	}
	run, radius := s.Runs[v.Run], p.Hole.Diameter/2
	places := []measure.Length{v.Station}
	if run.Closed {
		places = append(places, v.Station-run.Length(), v.Station+run.Length())
	}
	for _, o := range s.Obstacles { // trees
		if off := o.Path[0].DistanceTo(p.At); off < radius+o.Clearance-3 {
			t.Errorf("%s at %s stands %s from the obstacle, its hole %s across, clear %s", p.ID, p.At, off, p.Hole.Diameter, o.Clearance)
		}
	}
	for _, b := range l.Barred {
		for _, at := range places {
			if b.Run == v.Run && b.ID != "tree" && at-radius < b.To-3 && at+radius > b.From+3 {
				t.Errorf("%s at %s, its hole %s across, stands in %s..%s", p.ID, at, p.Hole.Diameter, b.From, b.To)
			}
		}
	}
}

// pinned notes a pin without a post.
func pinned(t *rapid.T, r site.Run, l *layout.Layout, run int, pin site.Pin) {
	for _, p := range l.Posts {
		for _, v := range p.Visits {
			off := (v.Station - pin.Station).Abs()
			if r.Closed {
				off = min(off, r.Length()-off)
			}
			// What stands there for another reason may be 1/8 in off.
			vertex := slices.ContainsFunc(r.Vertices, func(v measure.Point) bool { return v.DistanceTo(p.At) <= in/8 })
			if v.Run == run && (off <= 1 || off <= in/8 && (p.Role != layout.Pinned || vertex)) {
				if pin.Existing && !p.Existing {
					t.Errorf("%s at %s is not the old post", p.ID, v.Station)
				}
				return
			}
		}
	}
	t.Errorf("no post at the pin at %s of %s", pin.Station, r.ID)
}

// A loop by itself has as many posts as bays and openings.
func TestLoopLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSite(t)
		r := s.Runs[0]
		if len(r.Vertices) < 3 {
			t.Skip("no loop")
		}
		r.Closed = true
		l, err := layout.Plan(site.Site{Runs: []site.Run{r}}, drawSpec(t))
		if err != nil {
			t.Skip("refused")
		}
		for _, p := range l.Posts {
			if len(p.Visits) > 1 {
				t.Skip("it meets itself")
			}
			if p.Role == layout.End || p.Role == layout.TieIn {
				t.Errorf("a loop with an end at %s", p.Visits[0].Station)
			}
		}
		if len(l.Posts) != len(l.Bays)+len(l.Openings) {
			t.Errorf("%d posts, %d bays, %d openings", len(l.Posts), len(l.Bays), len(l.Openings))
		}
	})
}
