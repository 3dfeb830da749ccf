package layout_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// A cantilever leaf is 1.5 x the opening, on two roller posts, the second half
// the opening on and 6 in clear of the fence's posts (trade 5; common practice).
func TestSlidingGates(t *testing.T) {
	for _, c := range []struct {
		name, site string
		leaf       string
		first, at  string // the roller posts' places
		catch      string
	}{
		{"to the left, toward the start", "a: 0,0 60,0 gate=g@30x12~", "18 ft", "357.25in", "285.25in,11.5in", "506.75in"},
		{"to the right, toward the start", "a: 0,0 60,0 gate=g@30x12~right", "18 ft", "357.25in", "285.25in,-11.5in", "506.75in"},
		{"toward the finish", "a: 0,0 60,0 gate=g@20x12~^", "18 ft", "386.75in", "458.75in,11.5in", "237.25in"},
		{"a leaf to the sixteenth", "a: 0,0 60,0 gate=g@30x10.01~", "15 ft 3/16 in", "357.25in", "297.19in,11.5in", "482.87in"},
	} {
		l := plan(t, c.site, sixFoot(spec.Layout{}))
		o := l.Openings[0]
		first, catch := l.Posts[o.Start], l.Posts[o.End]
		if !o.HingeAtStart {
			first, catch = catch, first
		}
		if o.Roller == nil {
			t.Fatalf("%s: no roller post", c.name)
		}
		east, north, _ := strings.Cut(c.at, ",")
		want := measure.Point{East: mustLength(east), North: mustLength(north)}
		const hairBreadth = in / 1000
		if !o.Slides || o.LeafWidth != measure.Must(c.leaf) || o.Roller.At.DistanceTo(want) > hairBreadth ||
			(first.Visits[0].Station-mustLength(c.first)).Abs() > hairBreadth || (catch.Visits[0].Station-mustLength(c.catch)).Abs() > hairBreadth {
			t.Errorf("%s: a leaf of %s on %s and %s, caught at %s", c.name, o.LeafWidth, first.At, o.Roller.At, catch.At)
		}
		if first.Role != layout.GateHinge || catch.Role != layout.GateLatch {
			t.Errorf("%s: a %s post and a %s post", c.name, first.Role, catch.Role)
		}
		r := *o.Roller
		if len(r.Visits) > 0 || r.ID != first.ID+"R" || r.Size != first.Size || r.Hole != first.Hole || r.Stock != first.Stock || r.AboveGrade != first.AboveGrade || r.Role != layout.GateHinge {
			t.Errorf("%s: roller %+v beside %+v", c.name, r, first)
		}
	}
}

func TestSlidingGatesRefused(t *testing.T) {
	for _, c := range []struct{ name, site, want string }{
		{"no room", "a: 0,0 60,0 gate=g@10x12~", "site.runs[0].gates[0].width: the leaf needs 18 ft beyond the opening to slide, the leg has 10 ft"},
		{"no room before a corner", "a: 0,0 40,0 40,40 gate=g@20x12~^", "site.runs[0].gates[0].width: the leaf needs 18 ft beyond the opening to slide, the leg has 8 ft"},
		{"two leaves", "a: 0,0 60,0 gate=g@30x12x2~", "site.runs[0].gates[0].leaves: a gate that slides has one leaf, found 2"},
		{"a keep-out beside it", "a: 0,0 60,0 gate=g@30x12~ keep=gas@23..24", `site.runs[0].keep_outs[0]: the second roller post of gate "g" of run "a" stands beside it, at 23 ft 9-1/4 in: its hole, 1 ft 6 in across, reaches into the keep-out "gas" from 23 ft to 24 ft`},
		{"an obstacle beside the fence", "a: 0,0 60,0 gate=g@30x12~\n!tree: 23.77,2 clear=6in", `site.obstacles[0]: the second roller post of gate "g" of run "a" stands in it: its hole, 1 ft 6 in across, reaches into the obstacle "tree", clear by 6 in`},
		{"another gate", "a: 0,0 60,0 gate=f@22x3 gate=g@30x12~", `site.runs[0].gates[1].station: the second roller post, at 23 ft 9-1/4 in, would stand in the opening of gate "f"`},
		{"a post of another run", "a: 0,0 60,0 gate=g@30x12~\nb: 23.77,9in 23.77,30", `site.runs[0].gates[0].station: the second roller post and P`},
		{"another's roller", "a: 0,0 90,0 gate=g@20x12~^ gate=h@44.5x12~", `site.runs[0].gates[1].station: the second roller post and P`},
	} {
		l, err := layout.Plan(mustSite(c.site), sixFoot(spec.Layout{}))
		if err == nil {
			t.Errorf("%s: planned with %+v", c.name, *l.Openings[0].Roller)
		} else if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s:\n got %v\nwant %s", c.name, err, c.want)
		}
	}
	// On the other side the tree is out of the way.
	plan(t, "a: 0,0 60,0 gate=g@30x12~right\n!tree: 23.77,3 clear=6in", sixFoot(spec.Layout{}))
}

// A roller post stands on its own ground and reaches the leaf, which hangs level
// above the highest ground it passes.
func TestSlidingOnASlope(t *testing.T) {
	f := sixFoot(spec.Layout{})
	f.Posts.Stock = []measure.Length{8 * ft, 10 * ft, 12 * ft, 16 * ft}
	l := plan(t, "a: 0,0 60,0 gate=g@30x12~ ground=0:3 ground=60:0", f)
	o := l.Openings[0]
	highest := 3*ft - 12*ft/20 // where the open leaf ends, at 12 ft
	if (o.Roller.Top()-highest-6*ft).Abs() > in/1000 || l.Posts[o.Start].Top() != o.Roller.Top() || o.Roller.Ground >= 3*ft-23*ft/20 {
		t.Errorf("roller on %s, its top at %s, the first post's at %s", o.Roller.Ground, o.Roller.Top(), l.Posts[o.Start].Top())
	}
	if got := caution(l, "gate-on-slope"); !strings.Contains(got, "along which its leaf slides") {
		t.Errorf("%q", got)
	}
}

// Holes of roller posts that reach into a line post's are told as others are.
func TestRollerHoles(t *testing.T) {
	l := plan(t, "a: 0,0 60,0 gate=g@30x12~ pin=23.77", sixFoot(spec.Layout{}))
	if got := caution(l, "holes-overlap"); !strings.Contains(got, "R: no earth") {
		t.Errorf("%q", got)
	}
}

// drawSliding is a site some of whose gates slide.
func drawSliding(t *rapid.T) site.Site {
	s := drawSite(t)
	for i := range s.Runs {
		for j := range s.Runs[i].Gates {
			g := &s.Runs[i].Gates[j]
			g.Swing = site.Side(rapid.IntRange(0, 1).Draw(t, "swing"))
			if g.Slides = rapid.IntRange(0, 3).Draw(t, "slides") > 0; g.Slides {
				g.Leaves, g.Width = 1, g.Width/2
			}
		}
	}
	return s
}

// rollers are the second roller posts by gate, where they stand to a hundredth
// of a millimetre.
func rollers(l *layout.Layout, move func(measure.Point) measure.Point) []string {
	var all []string
	for _, o := range l.Openings {
		if r := o.Roller; r != nil {
			at := move(r.At)
			round := func(l measure.Length) measure.Length { return measure.RoundTo(l, measure.Millimetre/100) }
			all = append(all, fmt.Sprint(o.Gate, round(at.East), round(at.North), r.Size, r.Hole, r.Stock, round(r.Top())))
		}
	}
	slices.Sort(all)
	return all
}

// Moved, turned by quarters, or with its runs walked the other way, a site has
// the same roller posts; each is clear of the line and half an opening on from
// the first.
func TestRollerLaw(t *testing.T) {
	stay := func(p measure.Point) measure.Point { return p }
	rapid.Check(t, func(t *rapid.T) {
		s, f := drawSliding(t), drawSpec(t)
		s.Runs = s.Runs[:1]
		f.Alignment.PullSpacing, f.Alignment.Rules = 0, "trade"
		l, err := layout.Plan(s, f)
		if err != nil {
			if fault.KindOf(err) != fault.Invalid {
				t.Fatal(err)
			}
			t.Skip("refused")
		}
		for _, o := range l.Openings {
			if o.Slides != (o.Roller != nil) {
				t.Fatalf("opening %+v", o)
			}
			if o.Roller == nil {
				continue
			}
			first := l.Posts[o.Start]
			if !o.HingeAtStart {
				first = l.Posts[o.End]
			}
			along, aside := o.Clear/2, (first.Width+o.Roller.Width)/2+6*in
			if off := o.Roller.At.DistanceTo(first.At) - measure.Hypot(along, aside); off.Abs() > 4 {
				t.Errorf("the roller of %s stands %s from the first post", o.Gate, o.Roller.At.DistanceTo(first.At))
			}
			if o.LeafWidth < o.Clear*3/2 || o.LeafWidth-o.Clear*3/2 > measure.Sixteenth || o.LeafWidth%measure.Sixteenth != 0 {
				t.Errorf("a leaf of %s for %s", o.LeafWidth, o.Clear)
			}
		}

		quarter := func(p measure.Point) measure.Point {
			return measure.Point{East: -p.North, North: p.East}.Add(measure.Point{East: 7 * ft, North: -3 * ft})
		}
		turned := site.Site{Runs: slices.Clone(s.Runs)}
		turned.Runs[0].Vertices = nil
		for _, v := range s.Runs[0].Vertices {
			turned.Runs[0].Vertices = append(turned.Runs[0].Vertices, quarter(v))
		}
		for _, o := range s.Obstacles {
			o.Path = []measure.Point{quarter(o.Path[0])}
			turned.Obstacles = append(turned.Obstacles, o)
		}
		m, err := layout.Plan(turned, f)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := fmt.Sprint(rollers(m, stay)), fmt.Sprint(rollers(l, quarter)); got != want {
			t.Errorf("turned %s\nwas    %s", got, want)
		}

		if len(s.Obstacles) > 0 {
			return // what they bar is rounded outward
		}
		back := backwards(s.Runs[0])
		for i := range back.Gates {
			back.Gates[i].Swing = 1 - back.Gates[i].Swing
		}
		f.Layout.ShortEnd = otherEnd(f.Layout.ShortEnd)
		m, err = layout.Plan(site.Site{Runs: []site.Run{back}}, f)
		if err != nil {
			t.Skip("where a run crosses itself is rounded along the leg")
		}
		for i, r := range rollersAt(l) {
			if o := rollersAt(m)[i]; o.DistanceTo(r) > 10 {
				t.Errorf("walked the other way the roller stands %s off", o.DistanceTo(r))
			}
		}
	})
}

// rollersAt are the places of the roller posts, in the order of their gates'.
func rollersAt(l *layout.Layout) []measure.Point {
	openings := slices.Clone(l.Openings)
	slices.SortFunc(openings, func(a, b layout.Opening) int { return strings.Compare(a.Gate, b.Gate) })
	var all []measure.Point
	for _, o := range openings {
		if o.Roller != nil {
			all = append(all, o.Roller.At)
		}
	}
	return all
}
