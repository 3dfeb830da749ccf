package site

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/measure"
)

// obstacle is a path given in feet, as a line's is.
func obstacle(id, path string, clearance measure.Length) Obstacle {
	return Obstacle{ID: id, Path: line(path).Vertices, Clearance: clearance}
}

// told is keep-outs in decimal feet: "gas 13.5-16.5".
func told(barred []KeepOut) string {
	var lines []string
	feet := func(l measure.Length) string { return strings.TrimSuffix(l.In(measure.Foot, 6), " ft") }
	for _, k := range barred {
		lines = append(lines, strings.TrimSpace(fmt.Sprintf("%s %s-%s", k.ID, feet(k.From), feet(k.To))))
	}
	return strings.Join(lines, ", ")
}

func TestBarred(t *testing.T) {
	const in = measure.Inch
	straight, square := line("0,0 40,0"), loop("0,0 20,0 20,20 0,20")
	kept := straight
	kept.KeepOuts = []KeepOut{{ID: "root", From: 15 * ft, To: 20 * ft}, {From: 2 * ft, To: 3 * ft}}
	for name, c := range map[string]struct {
		run       Run
		obstacles []Obstacle
		want      string
	}{
		"gas line square across":       {straight, []Obstacle{obstacle("gas", "15,-9 15,9", 18*in)}, "gas 13.5-16.5"},
		"the other way round":          {straight, []Obstacle{obstacle("gas", "15,9 15,-9", 18*in)}, "gas 13.5-16.5"},
		"the run walked back":          {line("40,0 0,0"), []Obstacle{obstacle("gas", "15,-9 15,9", 18*in)}, "gas 23.5-26.5"},
		"at 45 degrees":                {straight, []Obstacle{obstacle("gas", "10,-10 30,10", 18*in)}, "gas 17.87868-22.12132"}, // 18 in x sqrt 2 = 2.12132 ft either way
		"3-4-5 across":                 {straight, []Obstacle{obstacle("gas", "5,-20 35,20", 4*ft)}, "gas 15-25"},               // 4 ft x 5/4 either way
		"a tree beside the line":       {straight, []Obstacle{obstacle("tree", "20,3", 5*ft)}, "tree 16-24"},
		"a tree in the line":           {straight, []Obstacle{obstacle("tree", "20,0", 5*ft)}, "tree 15-25"},
		"a tree that only touches":     {straight, []Obstacle{obstacle("tree", "20,5", 5*ft)}, ""},
		"a tree beyond":                {straight, []Obstacle{obstacle("tree", "20,6", 5*ft)}, ""},
		"a tree past the end":          {straight, []Obstacle{obstacle("tree", "43,0", 5*ft)}, "tree 38-40"},
		"a tree too far past the end":  {straight, []Obstacle{obstacle("tree", "45,0", 5*ft)}, ""},
		"a drain alongside":            {straight, []Obstacle{obstacle("drain", "10,3 20,3", 5*ft)}, "drain 6-24"},
		"a drain alongside, beyond":    {straight, []Obstacle{obstacle("drain", "10,5 20,5", 5*ft)}, ""},
		"a drain all along":            {straight, []Obstacle{obstacle("drain", "-10,3 60,3", 5*ft)}, "drain 0-40"},
		"a drain in the line":          {straight, []Obstacle{obstacle("drain", "30,0 10,0", 5*ft)}, "drain 5-35"},
		"a drain that ends short":      {straight, []Obstacle{obstacle("drain", "20,20 20,3", 5*ft)}, "drain 16-24"},
		"a drain that repeats a point": {straight, []Obstacle{obstacle("drain", "20,20 20,3 20,3", 5*ft)}, "drain 16-24"},
		"a drain with a bend":          {straight, []Obstacle{obstacle("drain", "10,-9 10,1 20,1 20,-9", 2*ft)}, "drain 8-22"},
		"a drain that crosses twice":   {straight, []Obstacle{obstacle("drain", "10,-9 10,9 20,9 20,-9", 2*ft)}, "drain 8-12, drain 18-22"},
		"intervals that touch":         {straight, []Obstacle{obstacle("drain", "10,-9 10,9 14,9 14,-9", 2*ft)}, "drain 8-16"},
		"two things each":              {straight, []Obstacle{obstacle("gas", "15,-9 15,9", 2*ft), obstacle("tree", "14,0", 2*ft)}, "tree 12-16, gas 13-17"},
		"with keep-outs":               {kept, []Obstacle{obstacle("gas", "17,-9 17,9", 2*ft)}, "2-3, root 15-20, gas 15-19"},
		"a corner bars both legs":      {square, []Obstacle{obstacle("tree", "20,0", 5*ft)}, "tree 15-25"},
		"outside a corner":             {square, []Obstacle{obstacle("tree", "23,-4", 6*ft)}, "tree 18.527864-21.196152"}, // 23 - sqrt(6^2 - 4^2), sqrt(6^2 - 3^2) - 4
		"the closing leg":              {square, []Obstacle{obstacle("gas", "-9,5 9,5", 2*ft)}, "gas 73-77"},
		"the start of a loop":          {square, []Obstacle{obstacle("tree", "0,0", 5*ft)}, "tree 0-5, tree 75-80"},
		"no clearance":                 {straight, []Obstacle{obstacle("tree", "20,0", 0)}, ""},
		"no clearance from a drain":    {straight, []Obstacle{obstacle("drain", "10,-1 11,6", 0)}, ""},
		"no path":                      {straight, []Obstacle{obstacle("tree", "", 5*ft)}, ""},
		"no line":                      {line("3,3"), []Obstacle{obstacle("tree", "3,3", 5*ft)}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			if got := told(Site{Runs: []Run{c.run}, Obstacles: c.obstacles}.Barred(0)); got != c.want {
				t.Errorf("barred %q, want %q", got, c.want)
			}
		})
	}
	if got := (Site{Runs: []Run{straight}}).Barred(1); got != nil {
		t.Errorf("barred %v in a run that there is not", got)
	}
}

// In simple numbers nothing is rounded; else the rounding is outward.
func TestBarredToTheNanometre(t *testing.T) {
	s := Site{Runs: []Run{line("0,0 40,0")}, Obstacles: []Obstacle{obstacle("gas", "15,-9 15,9", 18*measure.Inch), obstacle("skew", "30,-5 32,5", ft)}}
	got := s.Barred(0)
	if got[0].From != 162*measure.Inch || got[0].To != 198*measure.Inch {
		t.Errorf("square across: %v", got[0])
	}
	// 1 ft x sqrt(1 + 1/25) = 310836229.5 nm either way of 31 ft
	if got[1].From != 31*ft-310_836_230 || got[1].To != 31*ft+310_836_230 {
		t.Errorf("askew: %d and %d nm from 31 ft", got[1].From-31*ft, got[1].To-31*ft)
	}
	// A leg and a side that part by a nanometre in a million: 0.3 nm of it is
	// the rest of 600,000 nm x sqrt(10^12 + 1), at 0.3 of the leg.
	fine := Site{
		Runs:      []Run{{Vertices: []measure.Point{{}, {East: 1_000_001, North: 1}}}},
		Obstacles: []Obstacle{{Path: []measure.Point{{North: 600_000}, {East: 1_000_000, North: 600_001}}, Clearance: 600_000}},
	}
	if got := fine.Barred(0); !slices.Equal(got, []KeepOut{{To: 300_001}}) {
		t.Errorf("nearly parallel: %v", got)
	}
	// sqrt(3^2 - 2^2) = 2.2 nm past 1 nm, where a root cut short says 2.
	tiny := Site{
		Runs:      []Run{{Vertices: []measure.Point{{}, {East: 4}}}},
		Obstacles: []Obstacle{{Path: []measure.Point{{East: 1, North: 2}}, Clearance: 3}},
	}
	if got := tiny.Barred(0); !slices.Equal(got, []KeepOut{{To: 4}}) {
		t.Errorf("a tiny leg: %v", got)
	}
	s.Runs[0].KeepOuts = []KeepOut{{From: 1, To: 2}}
	s.Barred(0)[0].From = 0
	if s.Runs[0].KeepOuts[0].From != 1 {
		t.Error("the run's own keep-outs are handed out")
	}
}

// away2 is the square of the distance from the exact place of a station to the
// path, by the nearest point of each side.
func away2(l Leg, station measure.Length, path []measure.Point) *big.Rat {
	ratio := func(a, b measure.Length) *big.Rat { return big.NewRat(int64(a), int64(b)) }
	whole := func(a measure.Length) *big.Rat { return ratio(a, 1) }
	sum := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, b) }
	times := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
	way := ratio(station-l.Start, l.Length())
	east := sum(whole(l.From.East), times(way, whole(l.To.East-l.From.East)))
	north := sum(whole(l.From.North), times(way, whole(l.To.North-l.From.North)))
	var least *big.Rat
	for i, p := range path {
		q := path[min(i+1, len(path)-1)]
		dx, dy := sum(east, whole(-p.East)), sum(north, whole(-p.North))
		ex, ey := whole(q.East-p.East), whole(q.North-p.North)
		if length2 := sum(times(ex, ex), times(ey, ey)); length2.Sign() > 0 {
			foot := sum(times(dx, ex), times(dy, ey))
			foot.Quo(foot, length2)
			if foot.Sign() < 0 {
				foot = new(big.Rat)
			}
			if foot.Cmp(big.NewRat(1, 1)) > 0 {
				foot = big.NewRat(1, 1)
			}
			foot.Neg(foot)
			dx, dy = sum(dx, times(foot, ex)), sum(dy, times(foot, ey))
		}
		if d := sum(times(dx, dx), times(dy, dy)); least == nil || d.Cmp(least) < 0 {
			least = d
		}
	}
	return least
}

// Walking the run step by step, a station is barred where it is nearer than the
// clearance; past it at most within the rounding.
func TestBarredLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.SampledFrom([]int64{30, 300, int64(measure.Foot), int64(measure.Mile), int64(measure.MaxLength) / 8}).Draw(t, "scale")
		point := rapid.Custom(func(t *rapid.T) measure.Point {
			c := rapid.Int64Range(-scale, scale)
			return measure.Point{East: measure.Length(c.Draw(t, "east")), North: measure.Length(c.Draw(t, "north"))}
		})
		r := Run{ID: "a", Vertices: rapid.SliceOfN(point, 2, 4).Draw(t, "vertices"), Closed: rapid.Bool().Draw(t, "closed")}
		o := Obstacle{ID: "o", Path: rapid.SliceOfN(point, 1, 4).Draw(t, "path"), Clearance: measure.Length(rapid.Int64Range(1, scale).Draw(t, "clearance"))}
		barred := Site{Runs: []Run{r}, Obstacles: []Obstacle{o}}.Barred(0)
		for i, k := range barred {
			if k.From >= k.To || i > 0 && k.From <= barred[i-1].To {
				t.Fatalf("barred %v: not merged and ascending", barred)
			}
		}
		square := func(l measure.Length) *big.Rat { return new(big.Rat).SetInt(area(l, l)) }
		check := func(l Leg, station measure.Length) {
			holds := func(k KeepOut) bool { return k.From <= station && station <= k.To }
			within := func(k KeepOut) bool { // a hole may touch an edge; past the run's ends there is none
				return (k.From < station || station == 0) && (station < k.To || station == r.Length()) && holds(k)
			}
			near := away2(l, station, o.Path)
			switch in := slices.ContainsFunc(barred, holds); {
			case !slices.ContainsFunc(barred, within) && near.Cmp(square(o.Clearance)) < 0:
				t.Fatalf("station %d is nearer than %d and not barred: %v", station, o.Clearance, barred)
			case in && near.Cmp(square(o.Clearance+3)) >= 0:
				t.Fatalf("station %d is barred and 3 nm farther than %d: %v", station, o.Clearance, barred)
			}
		}
		for _, l := range r.Legs() {
			if l.Length() == 0 {
				continue
			}
			for station := l.Start; ; station = min(station+max(l.Length()/150, 1), l.End) {
				check(l, station)
				if station == l.End {
					break
				}
			}
			for _, k := range barred {
				for _, station := range []measure.Length{k.From - 1, k.From, k.From + 1, k.To - 1, k.To, k.To + 1} {
					if station >= l.Start && station <= l.End {
						check(l, station)
					}
				}
			}
		}
	})
}

// manyObstacles is a run of many legs in a zigzag, and drains that cross it or
// keep clear of it in turn.
func manyObstacles(legs, obstacles int) Site {
	r := Run{ID: "a"}
	for i := range legs + 1 {
		r.Vertices = append(r.Vertices, measure.Point{East: measure.Length(i) * 10 * ft, North: measure.Length(i%2) * ft})
	}
	s := Site{Runs: []Run{r}}
	for i := range obstacles {
		o := Obstacle{ID: fmt.Sprint(i), Clearance: 2 * ft}
		for j := range 20 {
			o.Path = append(o.Path, measure.Point{East: measure.Length(i*legs/obstacles) * 10 * ft, North: measure.Length(20*j-200+i%2*300) * ft})
		}
		s.Obstacles = append(s.Obstacles, o)
	}
	return s
}

func TestBarredByMany(t *testing.T) {
	if barred := manyObstacles(1000, 100).Barred(0); len(barred) != 50 {
		t.Errorf("%d intervals, want one for every other obstacle", len(barred))
	}
}

// 100 obstacles of 20 vertices on 1,000 legs: 2 ms on two cores of a server.
func BenchmarkBarred(b *testing.B) {
	s := manyObstacles(1000, 100)
	for b.Loop() {
		s.Barred(0)
	}
}

// A hole keeps its whole circle out, so a line at an angle bars more of the run
// than its clearance and the radius along the run.
func TestNoHole(t *testing.T) {
	const r = 6 * measure.Inch
	run := line("0,0 40,0")
	run.KeepOuts = []KeepOut{{ID: "gas", From: 10 * ft, To: 12 * ft}}
	for _, c := range []struct {
		name string
		path string
		want string // of the obstacle
	}{
		{"square across", "20,-9 20,9", "18 ft..22 ft"},    // 1 ft 6 in and 6 in
		{"3 in 4", "14,-8 26,8", "17 ft 6 in..22 ft 6 in"}, // 2 ft / (4/5)
		{"beside the line, out of its own reach", "20,1.8", "19 ft 1-9/16 in..20 ft 10-7/16 in"},
		{"past the end", "41.75,0", "39 ft 9 in..40 ft 6 in"},
	} {
		s := Site{Runs: []Run{run}, Obstacles: []Obstacle{{ID: "o", Path: line(c.path).Vertices, Clearance: 18 * measure.Inch}}}
		var got []string
		for _, k := range s.NoHole(0, r) {
			got = append(got, k.From.Imperial()+".."+k.To.Imperial())
		}
		if want := "9 ft 6 in..12 ft 6 in " + c.want; strings.Join(got, " ") != want {
			t.Errorf("%s: %q, want %q", c.name, strings.Join(got, " "), want)
		}
	}
}
