package layout_test

import (
	"fmt"
	"slices"

	"pgregory.net/rapid"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

var (
	// coarse lengths as people measure.
	coarse = rapid.Custom(func(t *rapid.T) measure.Length {
		return measure.Length(rapid.IntRange(-40*16, 40*16).Draw(t, "3/4 in")) * in * 3 / 4
	})
	// fine lengths as coordinates are worked out.
	fine = rapid.Custom(func(t *rapid.T) measure.Length {
		return measure.Length(rapid.Int64Range(-int64(40*ft), int64(40*ft)).Draw(t, "nm"))
	})
)

// between draws a length.
func between(t *rapid.T, low, high measure.Length, label string) measure.Length {
	return measure.Length(rapid.Int64Range(int64(low), int64(max(low, high))).Draw(t, label))
}

// within is between, and mostly so far from both ends that posts there stand
// free of what stands at the ends.
func within(t *rapid.T, low, high measure.Length, label string) measure.Length {
	if rapid.IntRange(0, 7).Draw(t, "near the ends") > 0 {
		low, high = low+(high-low)/8, high-(high-low)/8
	}
	return between(t, low, high, label)
}

// drawSite is a site of a few runs with corners, bends, walls and gates, some
// of which meet, cross, end at another's line post, or lie on uneven land. It
// may be refused: posts may overlap by chance.
func drawSite(t *rapid.T) site.Site {
	var s site.Site
	var vertices []measure.Point
	for i := range rapid.IntRange(1, 3).Draw(t, "runs") {
		r := site.Run{ID: fmt.Sprint("r", i), Face: site.Side(rapid.IntRange(0, 1).Draw(t, "face"))}
		drawLine(t, &r, vertices)
		if !r.Closed {
			r.Start, r.End = wall.Draw(t, "start"), wall.Draw(t, "end")
			if i > 0 && rapid.IntRange(0, 3).Draw(t, "attached") == 0 {
				attachTo(t, &r, s.Runs[0])
			}
		}
		drawGates(t, &r)
		if rapid.Bool().Draw(t, "land") {
			drawLand(t, &r)
		}
		vertices = append(vertices, r.Vertices...)
		s.Runs = append(s.Runs, r)
	}
	if rapid.IntRange(0, 3).Draw(t, "obstacle") == 0 {
		tree := within(t, 0, s.Runs[0].Length(), "tree")
		s.Obstacles = append(s.Obstacles, site.Obstacle{ID: "tree", Path: []measure.Point{s.Runs[0].PointAt(tree)}, Clearance: between(t, 1, 2*ft, "clearance")})
	}
	return s
}

var wall = rapid.Custom(func(t *rapid.T) site.Terminus {
	return site.Terminus{TieIn: rapid.Bool().Draw(t, "wall"), WallGap: measure.Length(rapid.IntRange(0, 2).Draw(t, "gap")) * in}
})

// drawLine draws the polyline; a loop may start within a side.
func drawLine(t *rapid.T, r *site.Run, others []measure.Point) {
	coordinate := coarse
	if rapid.Bool().Draw(t, "fine") {
		coordinate = fine
	}
	at := measure.Point{East: coordinate.Draw(t, "east"), North: coordinate.Draw(t, "north")}
	if len(others) > 0 && rapid.Bool().Draw(t, "meets") {
		at = rapid.SampledFrom(others).Draw(t, "where")
	}
	r.Vertices = append(r.Vertices, at)
	for range rapid.IntRange(1, 4).Draw(t, "legs") {
		step := measure.Point{East: coordinate.Draw(t, "east"), North: coordinate.Draw(t, "north")}
		if rapid.Bool().Draw(t, "square") {
			step.North = 0
		}
		if step.East.Abs()+step.North.Abs() < 2*ft {
			step.East += 30 * ft
		}
		at = at.Add(step)
		r.Vertices = append(r.Vertices, at)
	}
	r.Closed = len(r.Vertices) > 2 && r.Vertices[0].DistanceTo(at) > ft && rapid.Bool().Draw(t, "closed")
	if r.Closed && rapid.Bool().Draw(t, "starts within a side") {
		legs := r.Legs()
		last := legs[len(legs)-1]
		start := last.At(within(t, last.Start, last.End, "start"))
		// To the nanometre, or bays that just fit one way may not the other.
		if last.From.DistanceTo(start)+start.DistanceTo(last.To) == last.Length() {
			r.Vertices = append([]measure.Point{start}, r.Vertices...)
		}
	}
}

func attachTo(t *rapid.T, r *site.Run, host site.Run) {
	r.Start = site.Terminus{LinePostOf: host.ID}
	r.Vertices[0] = host.PointAt(within(t, 0, host.Length(), "near"))
	r.Vertices[0].North += 3 * in
}

func drawGates(t *rapid.T, r *site.Run) {
	for i, l := range r.Legs() {
		if l.Length() < 12*ft || !rapid.Bool().Draw(t, "gate") {
			continue
		}
		g := site.Gate{ID: fmt.Sprint(r.ID, "g", i), Leaves: rapid.IntRange(1, 2).Draw(t, "leaves"), Hinge: site.Hinge(rapid.IntRange(0, 1).Draw(t, "hinge"))}
		g.Width = measure.Length(rapid.IntRange(30, 100).Draw(t, "width")) * in
		g.Station = within(t, l.Start+6*in, l.End-g.Width-6*in, "station")
		r.Gates = append(r.Gates, g)
	}
}

// drawSpec is a sound spec.
func drawSpec(t *rapid.T) spec.Spec {
	f := sixFoot(spec.Layout{
		Method:        rapid.SampledFrom([]spec.Method{spec.Even, spec.Remainder, spec.Feathered}).Draw(t, "method"),
		MaxBay:        measure.Length(rapid.IntRange(4*12, 10*12).Draw(t, "bay")) * in,
		TerminalLimit: new(rapid.Bool().Draw(t, "limit")),
		ShortEnd:      rapid.SampledFrom([]spec.End{spec.Start, spec.Finish}).Draw(t, "short end"),
	})
	if f.Layout.Method == spec.Feathered {
		f.Layout.Feather = rapid.IntRange(1, 4).Draw(t, "feather")
		if rapid.Bool().Draw(t, "both") {
			f.Layout.ShortEnd = spec.Both
		}
	}
	if rapid.Bool().Draw(t, "long rails") {
		f.Layout.RailStock = f.Layout.MaxBay + measure.Length(rapid.IntRange(0, 48).Draw(t, "longer"))*in
	}
	if rapid.Bool().Draw(t, "6x6") {
		f.Posts.Size = "6x6"
	}
	if rapid.Bool().Draw(t, "sloping") {
		f.Posts.Stock = []measure.Length{8 * ft, 10 * ft, 12 * ft, 16 * ft, 40 * ft}
		f.Slope.Mode = rapid.SampledFrom([]spec.SlopeMode{spec.Racked, spec.Stepped}).Draw(t, "mode")
		f.Slope.RailEnds = rapid.SampledFrom([]spec.RailEnds{spec.SquareEnds, spec.PlumbEnds}).Draw(t, "rail ends")
		f.Slope.AlongGrade = new(rapid.Bool().Draw(t, "along grade"))
	}
	if rapid.Bool().Draw(t, "aligned") {
		f.Alignment.Rules = rapid.SampledFrom(spec.RuleSets()).Draw(t, "rules")
		f.Alignment.PullSpacing = measure.Length(rapid.IntRange(0, 3).Draw(t, "pull")) * 20 * ft
	}
	return f
}

// drawPlan is a site that can be planned, its spec filled in, and the layout.
func drawPlan(t *rapid.T) (site.Site, spec.Spec, *layout.Layout) {
	s, f := drawSite(t), drawSpec(t).WithDefaults()
	l, err := layout.Plan(s, f)
	if err != nil && fault.KindOf(err) == fault.Invalid {
		t.Skip("refused")
	}
	if err != nil {
		t.Fatal(err)
	}
	return s, f, l
}

// settled is a site with attached ends at the posts that they share, its pins
// and ground where they were measured.
func settled(s site.Site, l *layout.Layout) site.Site {
	s.Runs = slices.Clone(s.Runs)
	for _, p := range l.Posts {
		for _, v := range p.Visits {
			if r := &s.Runs[v.Run]; r.Start.LinePostOf != "" && v.Station == 0 {
				before := r.Length()
				r.Vertices = slices.Clone(r.Vertices)
				r.Vertices[0] = p.At
				r.Pins, r.Ground = slices.Clone(r.Pins), slices.Clone(r.Ground)
				for j := range r.Pins {
					r.Pins[j].Station += r.Length() - before
				}
				for j := range r.Ground {
					r.Ground[j].Station += r.Length() - before
				}
			}
		}
	}
	return s
}

// moved reports that the stretch's posts may stand elsewhere than its method
// has them: a keep-out lies on it, there is an obstacle
// somewhere, or its ground is uneven.
func moved(s site.Site, f spec.Spec, l *layout.Layout, st layout.Stretch) bool {
	if len(s.Obstacles) > 0 {
		return true
	}
	run := s.Runs[st.Run]
	radius := 2 * ft // more than half of any hole
	for _, b := range l.Barred {
		for _, around := range []measure.Length{-run.Length(), 0, run.Length()} {
			if b.Run == st.Run && b.From+around < st.End+radius && b.To+around > st.Start-radius {
				return true
			}
		}
	}
	if len(run.Ground) == 0 || st.Stepped {
		return false
	}
	return st.End > run.Length() || slices.ContainsFunc(run.Ground, func(g site.GroundPoint) bool { return st.Start < g.Station && g.Station < st.End }) ||
		st.Start < run.Ground[0].Station || st.End > run.Ground[len(run.Ground)-1].Station || f.Slope.Mode == ""
}
