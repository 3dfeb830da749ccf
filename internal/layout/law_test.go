package layout_test

import (
	"cmp"
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

// drawSite is a site of a few runs with corners, bends, walls and gates, some
// of which meet. It may be refused: posts may overlap by chance.
func drawSite(t *rapid.T) site.Site {
	var s site.Site
	coarse := rapid.Custom(func(t *rapid.T) measure.Length { // as people measure
		return measure.Length(rapid.IntRange(-40*16, 40*16).Draw(t, "3/4 in")) * in * 3 / 4
	})
	fine := rapid.Custom(func(t *rapid.T) measure.Length { // as coordinates are worked out
		return measure.Length(rapid.Int64Range(-int64(40*ft), int64(40*ft)).Draw(t, "nm"))
	})
	var vertices []measure.Point
	gates := 0
	for i := range rapid.IntRange(1, 3).Draw(t, "runs") {
		r := site.Run{ID: fmt.Sprint("r", i), Face: site.Side(rapid.IntRange(0, 1).Draw(t, "face"))}
		coordinate := coarse
		if rapid.Bool().Draw(t, "fine") {
			coordinate = fine
		}
		at := measure.Point{East: coordinate.Draw(t, "east"), North: coordinate.Draw(t, "north")}
		if len(vertices) > 0 && rapid.Bool().Draw(t, "meets") {
			at = rapid.SampledFrom(vertices).Draw(t, "where")
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
		r.Closed = len(r.Vertices) > 2 && rapid.Bool().Draw(t, "closed")
		if !r.Closed {
			wall := rapid.Custom(func(t *rapid.T) site.Terminus {
				return site.Terminus{TieIn: rapid.Bool().Draw(t, "wall"), WallGap: measure.Length(rapid.IntRange(0, 2).Draw(t, "gap")) * in}
			})
			r.Start, r.End = wall.Draw(t, "start"), wall.Draw(t, "end")
		}
		for _, l := range r.Legs() {
			if l.Length() < 12*ft || !rapid.Bool().Draw(t, "gate") {
				continue
			}
			gates++
			g := site.Gate{ID: fmt.Sprint("g", gates), Leaves: rapid.IntRange(1, 2).Draw(t, "leaves"), Hinge: site.Hinge(rapid.IntRange(0, 1).Draw(t, "hinge"))}
			g.Width = measure.Length(rapid.IntRange(30, 100).Draw(t, "width")) * in
			room := int64(l.Length() - g.Width - 12*in)
			g.Station = l.Start + 6*in + measure.Length(rapid.Int64Range(0, room).Draw(t, "station"))
			r.Gates = append(r.Gates, g)
		}
		vertices = append(vertices, r.Vertices...)
		s.Runs = append(s.Runs, r)
	}
	return s
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
	return f
}

// drawPlan is a site that can be planned, its spec filled in, and the layout.
func drawPlan(t *rapid.T) (site.Site, spec.Spec, *layout.Layout) {
	s, f := drawSite(t), drawSpec(t).WithDefaults()
	l, err := layout.Plan(s, f)
	if fault.KindOf(err) == fault.Invalid && err != nil {
		t.Skip("refused")
	}
	if err != nil {
		t.Fatal(err)
	}
	return s, f, l
}

// Bays add up exactly, printed bays to the printed stretch; none passes its
// limit and no rail the stock; the bays that share a rest differ by a nanometre
// at most.
func TestBayLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, f, l := drawPlan(t)
		next := 0
		for _, s := range l.Stretches {
			if s.FirstBay != next || s.Bays < 1 {
				t.Fatalf("stretch from bay %d of %d, want %d", s.FirstBay, s.Bays, next)
			}
			next += s.Bays
			bays := l.Bays[s.FirstBay:next]
			var sum, printed, least, limits measure.Length
			for i, b := range bays {
				sum, printed, limits = sum+b.Width, printed+b.Printed, limits+b.Limit
				if b.Width > b.Limit || b.Limit > f.Layout.MaxBay {
					t.Errorf("bay %d of %s is %s, the limit %s", i, s.Method, b.Width, b.Limit)
				}
				if b.Rail > f.Layout.RailStock || b.Rail < b.Width {
					t.Errorf("bay %d of %s takes a rail of %s from %s", i, b.Width, b.Rail, f.Layout.RailStock)
				}
				if b.Width != b.Limit && (least == 0 || b.Width < least) {
					least = b.Width
				}
				if (b.Printed-b.Width).Abs() > measure.Sixteenth || b.Printed%measure.Sixteenth != 0 {
					t.Errorf("%s is printed as %s", b.Width, b.Printed)
				}
				from, to := l.Posts[b.Start], l.Posts[b.End]
				if i == 0 && b.Start != s.StartEnd.Post || i == s.Bays-1 && b.End != s.FinishEnd.Post || i > 0 && b.Start != bays[i-1].End {
					t.Errorf("bay %d from post %d to %d does not follow", i, b.Start, b.End)
				}
				if s.Bays > 1 && b.Width < (from.Width+to.Width)/2 {
					t.Errorf("posts of %s and %s overlap in a bay of %s", from.Width, to.Width, b.Width)
				}
			}
			if sum != s.Length() {
				t.Errorf("bays add up to %s, the stretch is %s", sum, s.Length())
			}
			if want := measure.RoundTo(s.Length(), measure.Sixteenth); printed != want {
				t.Errorf("printed bays add up to %s, the printed stretch is %s", printed, want)
			}
			// Fewest bays: with one less, the limits would not reach. Taking an
			// inner bay away leaves the end bays' limits as they are.
			if s.Bays > 2 && limits-f.Layout.MaxBay >= s.Length() {
				t.Errorf("%d bays where one less would reach over %s", s.Bays, s.Length())
			}
			// All bays that are not at their own limit are equal.
			for i, b := range bays {
				if b.Width != b.Limit && b.Width-least > 1 {
					t.Errorf("%s: bay %d of %s is neither full nor as wide as the least, %s", s.Method, i, b.Width, least)
				}
			}
		}
		if next != len(l.Bays) {
			t.Errorf("%d bays in stretches, %d in all", next, len(l.Bays))
		}
	})
}

// Every post stands where its stations say, is named in walking order, carries
// a hole that adds up and a stock that is long enough, and has fence or a gate.
func TestPostLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, f, l := drawPlan(t)
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
		walked := layout.Visit{Run: -1}
		for i, p := range l.Posts {
			if p.ID != fmt.Sprint("P", i+1) {
				t.Errorf("post %d is called %s", i, p.ID)
			}
			if !used[i] {
				t.Errorf("%s stands for nothing", p.ID)
			}
			first := p.Visits[0]
			if first.Run < walked.Run || first.Run == walked.Run && first.Station <= walked.Station {
				t.Errorf("%s at %+v follows %+v", p.ID, first, walked)
			}
			walked = first
			for j, v := range p.Visits {
				off := s.Runs[v.Run].PointAt(v.Station).DistanceTo(p.At)
				if j == 0 && off > 0 || off > in/8*measure.Length(len(p.Visits)) {
					t.Errorf("%s stands %s off its station %s", p.ID, off, v.Station)
				}
			}
			h := p.Hole
			if h.Depth != h.Gravel+h.Float+h.Embedment || p.Stock < p.AboveGrade+h.Embedment || !slices.Contains(f.Posts.Stock, p.Stock) {
				t.Errorf("%s of %s in a hole of %+v", p.ID, p.Stock, h)
			}
			if p.Role == layout.Line && (len(p.Visits) != 1 || p.Size != f.Posts.Size) {
				t.Errorf("line post %+v", p)
			}
		}
	})
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

// Moving a site and turning it by quarters moves and turns the posts, and
// changes nothing else.
func TestMoveLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, f, l := drawPlan(t)
		quarters := rapid.IntRange(0, 3).Draw(t, "quarters")
		offset := rapid.Custom(func(t *rapid.T) measure.Length {
			return measure.Length(rapid.Int64Range(-int64(measure.Mile), int64(measure.Mile)).Draw(t, "offset"))
		})
		by := measure.Point{East: offset.Draw(t, "east"), North: offset.Draw(t, "north")}
		move := func(p measure.Point) measure.Point {
			for range quarters {
				p = measure.Point{East: -p.North, North: p.East}
			}
			return p.Add(by)
		}
		var moved site.Site
		for _, r := range s.Runs {
			r.Vertices = slices.Clone(r.Vertices)
			for i, p := range r.Vertices {
				r.Vertices[i] = move(p)
			}
			moved.Runs = append(moved.Runs, r)
		}
		m, err := layout.Plan(moved, f)
		if err != nil {
			t.Fatal(err)
		}
		for i := range l.Posts {
			p := l.Posts[i]
			p.At = move(p.At)
			if got, want := fmt.Sprint(m.Posts[i]), fmt.Sprint(p); got != want {
				t.Fatalf("post %s\nwant %s", got, want)
			}
		}
		if got, want := fmt.Sprint(m.Stretches, m.Bays, m.Openings, m.Cautions), fmt.Sprint(l.Stretches, l.Bays, l.Openings, l.Cautions); got != want {
			t.Errorf("moved %s\nwas   %s", got, want)
		}
	})
}

// The same run walked the other way has the same bays in the other order, to a
// nanometre, with the short end at the other end.
func TestReverseLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, f := drawSite(t), drawSpec(t)
		s.Runs = s.Runs[:1]
		l, err := layout.Plan(s, f)
		if err != nil {
			t.Skip("refused")
		}
		r := s.Runs[0]
		back := r
		back.Vertices = slices.Clone(r.Vertices)
		slices.Reverse(back.Vertices)
		if r.Closed { // a loop starts where it did
			back.Vertices = append(back.Vertices[len(r.Vertices)-1:], back.Vertices[:len(r.Vertices)-1]...)
		}
		back.Start, back.End, back.Face = r.End, r.Start, 1-r.Face
		back.Gates = nil
		for _, g := range r.Gates {
			g.Station, g.Hinge = r.Length()-g.Station-g.Width, 1-g.Hinge
			back.Gates = append(back.Gates, g)
		}
		switch f.Layout.ShortEnd {
		case spec.Start:
			f.Layout.ShortEnd = spec.Finish
		case spec.Finish:
			f.Layout.ShortEnd = spec.Start
		case spec.Both:
		}
		m, err := layout.Plan(site.Site{Runs: []site.Run{back}}, f)
		if err != nil {
			t.Fatal(err)
		}
		if len(m.Bays) != len(l.Bays) || len(m.Posts) != len(l.Posts) || len(m.Openings) != len(l.Openings) {
			t.Fatalf("%d bays and %d posts, were %d and %d", len(m.Bays), len(m.Posts), len(l.Bays), len(l.Posts))
		}
		for i, b := range l.Bays {
			mirrored := m.Bays[len(m.Bays)-1-i]
			if (mirrored.Width-b.Width).Abs() > 1 || mirrored.Limit != b.Limit {
				t.Errorf("bay %d of %d is %d, the other way %d", i, len(l.Bays), b.Width, mirrored.Width)
			}
		}
		for i, st := range l.Stretches {
			mirrored := m.Stretches[len(m.Stretches)-1-i]
			a, b := st.StartEnd, mirrored.FinishEnd
			if a.Terminal != b.Terminal || a.Gate != b.Gate || a.Corner != b.Corner || a.Wall != b.Wall || st.Method != mirrored.Method {
				t.Errorf("stretch %+v\nthe other way %+v", st, mirrored)
			}
		}
	})
}

// With even bays and the limits off, a run cut at any of its line posts keeps
// every post: the two parts meet in a post that rails pass.
func TestSplitLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		end := measure.Point{
			East:  measure.Length(rapid.Int64Range(int64(20*ft), int64(400*ft)).Draw(t, "east")),
			North: measure.Length(rapid.Int64Range(-int64(400*ft), int64(400*ft)).Draw(t, "north")),
		}
		f := sixFoot(noLimit(spec.Layout{}))
		whole := site.Run{ID: "a", Vertices: []measure.Point{{}, end}}
		l, err := layout.Plan(site.Site{Runs: []site.Run{whole}}, f)
		if err != nil {
			t.Fatal(err)
		}
		at := l.Posts[rapid.IntRange(1, len(l.Posts)-2).Draw(t, "post")].At
		a := site.Run{ID: "a", Vertices: []measure.Point{{}, at}}
		b := site.Run{ID: "b", Vertices: []measure.Point{at, end}}
		m, err := layout.Plan(site.Site{Runs: []site.Run{a, b}}, f)
		if err != nil {
			t.Fatal(err)
		}
		if len(m.Posts) != len(l.Posts) || len(m.Bays) != len(l.Bays) {
			t.Fatalf("%d posts in two runs, %d in one", len(m.Posts), len(l.Posts))
		}
		for i := range l.Posts {
			if off := m.Posts[i].At.DistanceTo(l.Posts[i].At); off > 3 {
				t.Errorf("post %d of %d moved by %d nm", i, len(l.Posts), off)
			}
		}
	})
}

// The order in which runs are listed decides names and which leg covers, not
// where posts stand or what they are.
func TestOrderLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, f, l := drawPlan(t)
		shuffled := site.Site{Runs: rapid.Permutation(s.Runs).Draw(t, "order")}
		m, err := layout.Plan(shuffled, f)
		if err != nil {
			t.Fatal(err)
		}
		same := func(l *layout.Layout) []string {
			posts := make([]string, len(l.Posts))
			for i, p := range l.Posts {
				at := p.At
				if len(p.Visits) > 1 { // up to 1/8 in apart, where the first run has it
					at = measure.Point{}
				}
				posts[i] = fmt.Sprint(at, p.Role, p.Size, p.Stock, p.Hole, len(p.Visits))
			}
			slices.Sort(posts)
			return posts
		}
		if got, want := same(m), same(l); !slices.Equal(got, want) {
			t.Errorf("posts %v\nwere  %v", got, want)
		}
		for _, p := range l.Posts {
			if len(p.Visits) > 2 && strings.Contains(codes(l), "runs-cross") {
				return // of two runs that lie on one another the first is the straighter
			}
		}
		byRun := func(s site.Site, l *layout.Layout) []string {
			var all []string
			for _, st := range l.Stretches {
				for _, b := range l.Bays[st.FirstBay : st.FirstBay+st.Bays] {
					all = append(all, fmt.Sprint(s.Runs[st.Run].ID, " ", st.Start, " ", b.Width, b.Limit))
				}
			}
			slices.SortStableFunc(all, cmp.Compare)
			return all
		}
		if got, want := byRun(shuffled, m), byRun(s, l); !slices.Equal(got, want) {
			t.Errorf("bays %v\nwere %v", got, want)
		}
	})
}

// The same input gives the same layout, and is left alone.
func TestRepeatLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, f := drawSite(t), drawSpec(t)
		before := fmt.Sprintf("%+v %+v", s, f)
		l, err := layout.Plan(s, f)
		m, again := layout.Plan(s, f)
		if fmt.Sprint(l, err) != fmt.Sprint(m, again) {
			t.Errorf("%+v, %v\nthen %+v, %v", l, err, m, again)
		}
		if after := fmt.Sprintf("%+v %+v", s, f); after != before {
			t.Errorf("the input changed:\n%s\n%s", before, after)
		}
	})
}

// No two posts stand in one another, however runs cross or come to each other's
// legs: an end on a leg shares its post, anything else is refused.
func TestApartLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Bays of 2 ft put a post of every run near wherever another comes.
		through := site.Run{ID: "t", Vertices: []measure.Point{{}, {East: 20 * ft, North: measure.Length(rapid.IntRange(-20, 20).Draw(t, "north")) * ft}}}
		s := site.Site{Runs: []site.Run{through}}
		for i := range rapid.IntRange(1, 3).Draw(t, "branches") {
			at := through.PointAt(measure.Length(rapid.Int64Range(0, int64(20*ft)).Draw(t, "station")))
			at.North += measure.Length(rapid.Int64Range(-int64(in/8), int64(in/8)).Draw(t, "off")) * measure.Length(rapid.SampledFrom([]int64{0, 1, 40}).Draw(t, "times"))
			far := measure.Point{East: measure.Length(rapid.IntRange(-10, 30).Draw(t, "east")) * ft, North: measure.Length(rapid.IntRange(-30, 30).Draw(t, "to")) * ft}
			s.Runs = append(s.Runs, site.Run{ID: fmt.Sprint("b", i), Vertices: []measure.Point{at, far}})
		}
		s.Runs = rapid.Permutation(s.Runs).Draw(t, "order")
		l, err := layout.Plan(s, sixFoot(spec.Layout{MaxBay: 2 * ft}))
		if err != nil {
			if fault.KindOf(err) != fault.Invalid {
				t.Fatal(err)
			}
			t.Skip("refused")
		}
		for i, p := range l.Posts {
			for _, q := range l.Posts[:i] {
				if apart := p.At.DistanceTo(q.At); apart < (p.Width+q.Width)/2-1 {
					t.Errorf("%s %+v and %s %+v stand %s apart", p.Role, p.Visits, q.Role, q.Visits, apart)
				}
			}
		}
		for _, b := range l.Bays {
			if b.Start == b.End {
				t.Errorf("a bay of %s from a post to itself", b.Width)
			}
		}
	})
}
