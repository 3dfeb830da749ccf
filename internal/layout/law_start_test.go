package layout_test

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// startAt is a loop that starts at another station: the vertices listed from
// there, a new first one where none stands, and all stations counted from it.
func startAt(r site.Run, start measure.Length) site.Run {
	legs, length := r.Legs(), r.Length()
	k := site.LegAt(legs, start)
	out := r
	out.Vertices = append(slices.Clone(r.Vertices[k:]), r.Vertices[:k]...)
	if start > legs[k].Start {
		out.Vertices = append([]measure.Point{r.PointAt(start)}, append(out.Vertices[1:], out.Vertices[0])...)
	}
	to := func(station measure.Length) measure.Length { return (station - start + length) % length }
	out.Gates, out.Pins, out.KeepOuts, out.Slopes, out.Ground = nil, nil, nil, nil, nil
	for _, g := range r.Gates {
		g.Station = to(g.Station)
		out.Gates = append(out.Gates, g)
	}
	for _, p := range r.Pins {
		p.Station = to(p.Station)
		out.Pins = append(out.Pins, p)
	}
	divide := func(from, to measure.Length, add func(from, to measure.Length)) {
		if from < start && start < to {
			add(from-start+length, length)
			add(0, to-start)
			return
		}
		if from < start {
			from, to = from+length, to+length
		}
		add(from-start, to-start)
	}
	for _, k := range r.KeepOuts {
		divide(k.From, k.To, func(from, to measure.Length) {
			out.KeepOuts = append(out.KeepOuts, site.KeepOut{From: from, To: to})
		})
	}
	for _, part := range r.Slopes {
		divide(part.From, part.To, func(from, to measure.Length) {
			out.Slopes = append(out.Slopes, site.SlopePart{From: from, To: to, Stepped: part.Stepped})
		})
	}
	if len(r.Ground) > 0 {
		at := r.GroundAt(start)
		out.Ground = []site.GroundPoint{{Elevation: at}}
		for _, g := range r.Ground {
			if g.Station != start && g.Station < length {
				out.Ground = append(out.Ground, site.GroundPoint{Station: to(g.Station), Elevation: g.Elevation})
			}
		}
		slices.SortFunc(out.Ground, func(a, b site.GroundPoint) int { return cmp.Compare(a.Station, b.Station) })
		out.Ground = append(out.Ground, site.GroundPoint{Station: length, Elevation: at})
	}
	return out
}

// Any start of a loop, at a vertex or anywhere on a side, gives the same fence:
// the same posts in the same places, and the same bays between them.
func TestStartLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var r site.Run
		r.ID, r.Face = "a", site.Side(rapid.IntRange(0, 1).Draw(t, "face"))
		at := measure.Point{}
		for _, turn := range []measure.Point{{East: 1}, {North: 1}, {East: -1}} { // round three sides, and home
			r.Vertices = append(r.Vertices, at)
			along, aside := between(t, 12*ft, 60*ft, "along"), between(t, 0, 6*ft, "aside")
			at = at.Add(measure.Point{East: turn.East*along + turn.North*aside, North: turn.North*along + turn.East*aside})
		}
		r.Vertices, r.Closed = append(r.Vertices, at), true
		drawGates(t, &r)
		drawLand(t, &r)
		f := drawSpec(t)
		s := site.Site{Runs: []site.Run{r}}
		if rapid.Bool().Draw(t, "another") {
			s.Runs = append(s.Runs, drawVisitor(t, r))
		}
		if rapid.IntRange(0, 3).Draw(t, "tree") == 0 {
			tree := r.PointAt(within(t, 0, r.Length(), "tree"))
			s.Obstacles = []site.Obstacle{{ID: "tree", Path: []measure.Point{tree}, Clearance: between(t, 1, ft, "clearance")}}
		}
		l, err := layout.Plan(s, f)
		if err != nil {
			t.Skip("refused")
		}
		if slices.ContainsFunc(l.Cautions, func(c layout.Caution) bool { return c.Code == "runs-cross" }) {
			t.Skip("crosses itself")
		}
		k := rapid.IntRange(0, 3).Draw(t, "leg")
		leg := r.Legs()[k]
		start := leg.Start
		if n := len(r.Vertices); measure.Turn(r.Vertices[(k+n-1)%n], leg.From, leg.To).Abs() < measure.Degree {
			t.Skip("a loop that starts at so slight a bend has no post there")
		}
		if rapid.Bool().Draw(t, "within the side") {
			start = within(t, leg.Start+in, leg.End-in, "start")
			if p := leg.At(start); leg.From.DistanceTo(p) != start-leg.Start || p.DistanceTo(leg.To) != leg.End-start {
				t.Skip("no point at that station to the nanometre")
			}
			for _, g := range r.Gates {
				if g.Station < start && start < g.Station+g.Width {
					t.Skip("a gate's opening passes no vertex")
				}
			}
			for _, p := range r.Pins {
				if (p.Station - start).Abs() <= in/8 {
					t.Skip("a pin asks for a post at the start")
				}
			}
		}
		for _, g := range r.Ground {
			if off := (g.Station - start).Abs(); 0 < off && off < in {
				t.Skip("the ground between the start and its break is rounded")
			}
		}
		other := startAt(r, start)
		s.Runs = append([]site.Run{other}, s.Runs[1:]...)
		m, err := layout.Plan(s, f)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Runs) > 1 && startOf(l, 1).DistanceTo(startOf(m, 1)) > in {
			t.Skip("two line posts are as near")
		}
		if len(r.Ground) > 2 {
			// On changing grades the least departure is found to a tolerance, and
			// a break that the new start rounds away lets the method be.
			if got, want := fmt.Sprint(ways(m)), fmt.Sprint(ways(l)); got != want {
				t.Errorf("stretches %s\nwere %s", got, want)
			}
			return
		}
		sameFence(t, l, m)
	})
}

// startOf is where a run's first post stands.
func startOf(l *layout.Layout, run int) measure.Point {
	i := slices.IndexFunc(l.Posts, func(p layout.Post) bool {
		return slices.Contains(p.Visits, layout.Visit{Run: run})
	})
	return l.Posts[i].At
}

// drawVisitor is a run that crosses one side of a loop, ends at it, or ends at
// one of its line posts.
func drawVisitor(t *rapid.T, loop site.Run) site.Run {
	at := loop.PointAt(within(t, 0, loop.Length(), "where"))
	out := measure.Point{East: between(t, -9*ft, 9*ft, "east"), North: between(t, 3*ft, 9*ft, "north")}
	r := site.Run{ID: "b", Vertices: []measure.Point{at, at.Sub(out)}}
	switch rapid.IntRange(0, 2).Draw(t, "how") {
	case 0:
		r.Vertices[0] = at.Add(out)
	case 1:
		r.Start.LinePostOf = loop.ID
	}
	return r
}

// sameFence notes posts and bays of one layout that the other does not have, to
// two nanometres in plan and a micrometre of elevation, within which breaks of
// grade beside a vertex count as at it.
func sameFence(t *rapid.T, l, m *layout.Layout) {
	if len(l.Posts) != len(m.Posts) || len(l.Bays) != len(m.Bays) || len(l.Stretches) != len(m.Stretches) {
		t.Fatalf("%d posts, %d bays, %d stretches, were %d, %d, %d", len(m.Posts), len(m.Bays), len(m.Stretches), len(l.Posts), len(l.Bays), len(l.Stretches))
	}
	twin := make([]int, len(l.Posts))
	for i, p := range l.Posts {
		j := slices.IndexFunc(m.Posts, func(q layout.Post) bool { return q.At.DistanceTo(p.At) <= 2 })
		if j < 0 {
			t.Fatalf("no post at %v: %+v", p.At, p)
		}
		twin[i] = j
		q := m.Posts[j]
		if p.Role != q.Role || p.Size != q.Size || p.Existing != q.Existing || p.Because != q.Because || p.Hole != q.Hole || p.Stock != q.Stock ||
			(p.Ground-q.Ground).Abs() > 1000 || (p.Top()-q.Top()).Abs() > 2000 {
			t.Errorf("post %+v\nnow  %+v", p, q)
		}
	}
	bays := make(map[[2]int]layout.Bay, len(m.Bays))
	for _, b := range m.Bays {
		bays[[2]int{b.Start, b.End}] = b
	}
	if len(bays) < len(m.Bays) {
		t.Skip("two runs beside one another share posts")
	}
	for _, b := range l.Bays {
		other, same := bays[[2]int{twin[b.Start], twin[b.End]}]
		if !same {
			t.Fatalf("no bay from %v to %v", l.Posts[b.Start].At, l.Posts[b.End].At)
		}
		for _, pair := range [][2]measure.Length{{b.Limit, other.Limit}, {b.Rail, other.Rail}, {b.Rise, other.Rise}, {b.Top, other.Top},
			{b.MostGap, other.MostGap}, {b.LeastGap, other.LeastGap}, {b.Fill, other.Fill}} {
			if (b.Width-other.Width).Abs() > 4 || (pair[0]-pair[1]).Abs() > 2000 {
				t.Errorf("bay %+v\nnow %+v", b, other)
				break
			}
		}
	}
	if got, want := fmt.Sprint(ways(m)), fmt.Sprint(ways(l)); got != want {
		t.Errorf("stretches %s\nwere %s", got, want)
	}
}

// ways are how stretches end, in no order; their lengths, which the new start
// may round by a nanometre, to 1/64 in.
func ways(l *layout.Layout) []string {
	var all []string
	for _, st := range l.Stretches {
		a, b := st.StartEnd, st.FinishEnd
		a.Post, b.Post = 0, 0
		all = append(all, fmt.Sprint(measure.RoundTo(st.Length(), in/64), st.Bays, st.Stepped, a, b))
	}
	slices.Sort(all)
	return all
}
