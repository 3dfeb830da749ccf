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

// ground is points in feet, station and elevation: "0,100 40,102.5".
func ground(points string) []GroundPoint {
	var g []GroundPoint
	for p := range strings.FieldsSeq(points) {
		station, elevation, _ := strings.Cut(p, ",")
		g = append(g, GroundPoint{measure.Must(station + " ft"), measure.Must(elevation + " ft")})
	}
	return g
}

func TestGroundAt(t *testing.T) {
	for _, c := range []struct {
		ground        string
		station, want string
	}{
		{"", "10 ft", "0 ft"},
		{"10,3", "0 ft", "3 ft"},
		{"10,3", "10 ft", "3 ft"},
		{"10,3", "99 ft", "3 ft"},
		{"10,3 20,5", "9 ft", "3 ft"},
		{"10,3 20,5", "10 ft", "3 ft"},
		{"10,3 20,5", "15 ft", "4 ft"},
		{"10,3 20,5", "20 ft", "5 ft"},
		{"10,3 20,5", "21 ft", "5 ft"},
		{"10,3 20,5 30,-5", "25 ft", "0 ft"},
		{"10,3 20,5 30,-5", "30 ft", "-5 ft"},
		{"0,0 3,1", "1 ft", "101600000 nm"},           // a third of a foot, whole
		{"0,0 3,-1", "1 nm", "0 nm"},                  // -1/3 nm
		{"0,0 3,1", "2 nm", "1 nm"},                   // 2/3 nm
		{"0,0 2,-1", "304800001 nm", "-152400001 nm"}, // halves away from zero
	} {
		r := Run{Ground: ground(c.ground)}
		if got := r.GroundAt(measure.Must(c.station)); got != measure.Must(c.want) {
			t.Errorf("ground %q at %s: %s, want %s", c.ground, c.station, got, c.want)
		}
	}
}

// rolling is a hump between 10 and 20 ft, a dip between 20 and 30 ft, and a
// straight rise in two parts from 30 to 50 ft.
const rolling = "0,0 10,0 15,2 20,0 25,-3 30,0 40,1 50,2"

func TestProfileBetween(t *testing.T) {
	for _, c := range []struct {
		ground   string
		from, to int
		want     string // rise over run, whether straight; hump and dip; lowest to highest; breaks
	}{
		{rolling, 0, 10, "0/10 true +0-0 0..0 []"},
		{rolling, 10, 15, "2/5 true +0-0 0..2 []"},
		{rolling, 10, 20, "0/10 false +2-0 0..2 [15]"},
		{rolling, 20, 30, "0/10 false +0-3 -3..0 [25]"},
		{rolling, 10, 30, "0/20 false +2-3 -3..2 [15 20 25]"},
		{rolling, 30, 50, "2/20 true +0-0 0..2 [40]"}, // a point on the line is no bend
		{rolling, 35, 45, "1/10 true +0-0 0..1 [40]"},
		{rolling, 15, 25, "-5/10 false +0-0 -3..2 [20]"}, // the hump and dip are half a foot, see below
		{rolling, 45, 65, "0/20 false +0-0 1..2 [50]"},
		{rolling, 50, 90, "0/40 true +0-0 2..2 []"},
		{rolling, 15, 15, "0/0 true +0-0 2..2 []"},
		{rolling, 30, 10, "0/-20 true +0-0 0..0 []"},
		{"", 0, 10, "0/10 true +0-0 0..0 []"},
		{"5,3", 0, 10, "0/10 true +0-0 3..3 [5]"},
	} {
		p := Run{Ground: ground(c.ground)}.Profile()
		from, to := measure.Length(c.from)*ft, measure.Length(c.to)*ft
		rise, run, straight := p.Grade(from, to)
		hump, dip := p.Departure(from, to)
		lowest, highest := p.Range(from, to)
		var breaks []int
		for _, b := range p.Breaks(from, to) {
			breaks = append(breaks, int(b.Station/ft))
		}
		got := fmt.Sprintf("%d/%d %t +%d-%d %d..%d %v", rise/ft, run/ft, straight, hump/ft, dip/ft, lowest/ft, highest/ft, breaks)
		if got != c.want {
			t.Errorf("%q from %d to %d ft: %s, want %s", c.ground, c.from, c.to, got, c.want)
		}
	}
	if hump, dip := (Run{Ground: ground(rolling)}).Profile().Departure(15*ft, 25*ft); hump != ft/2 || dip != 0 {
		t.Errorf("the bend at 20 ft is %s above and %s below the line, want 6 in and 0", hump, dip)
	}
}

// A grade stays one grade where its points are rounded to a nanometre, and is
// none where a point lies two off.
func TestGradeToTheNanometre(t *testing.T) {
	for off, want := range map[measure.Length]bool{-2: false, -1: true, 0: true, 1: true, 2: false} {
		r := Run{Ground: []GroundPoint{{0, 0}, {10, 5 + off}, {20, 10}}}
		if _, _, got := r.Profile().Grade(0, 20); got != want {
			t.Errorf("a point %d nm off the line: straight %t", off, got)
		}
	}
}

func drawGround(t *rapid.T) []GroundPoint {
	step := rapid.SampledFrom([]int64{3, int64(measure.Foot), int64(measure.Mile)}).Draw(t, "scale")
	var g []GroundPoint
	at := rapid.Int64Range(0, step).Draw(t, "first")
	for range rapid.IntRange(0, 40).Draw(t, "points") {
		g = append(g, GroundPoint{measure.Length(at), measure.Length(rapid.Int64Range(-step, step).Draw(t, "elevation"))})
		at += rapid.Int64Range(1, step).Draw(t, "step")
	}
	return g
}

// However its lookups jump about, a profile answers what a plain search and
// exact fractions do.
func TestProfileLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGround(t)
		r := Run{Ground: g}
		p := r.Profile()
		var end int64
		if len(g) > 0 {
			end = int64(g[len(g)-1].Station)
		}
		station := rapid.Custom(func(t *rapid.T) measure.Length {
			if len(g) > 0 && rapid.Bool().Draw(t, "at a point") {
				return rapid.SampledFrom(g).Draw(t, "point").Station
			}
			return measure.Length(rapid.Int64Range(-2, end+2).Draw(t, "station"))
		})
		for range 20 {
			at := station.Draw(t, "at")
			got := p.At(at)
			if fresh := r.GroundAt(at); got != fresh {
				t.Fatalf("at %d: %d, a fresh search %d", at, got, fresh)
			}
			off := new(big.Rat).Sub(big.NewRat(int64(got), 1), exactGround(g, at))
			if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 {
				t.Fatalf("at %d: %d is %s off", at, got, off)
			}
			from, to := at, station.Draw(t, "to")
			want := slices.DeleteFunc(slices.Clone(g), func(x GroundPoint) bool { return x.Station <= from || x.Station >= to })
			if breaks := p.Breaks(from, to); !slices.Equal(breaks, want) {
				t.Fatalf("between %d and %d: %v, want %v", from, to, breaks, want)
			}
		}
	})
}

// exactGround is the elevation as a fraction, by a plain walk.
func exactGround(g []GroundPoint, at measure.Length) *big.Rat {
	if len(g) == 0 {
		return new(big.Rat)
	}
	whole := func(l measure.Length) *big.Rat { return big.NewRat(int64(l), 1) }
	if at <= g[0].Station {
		return whole(g[0].Elevation)
	}
	for i, b := range g[1:] {
		if a := g[i]; at < b.Station {
			rise := new(big.Rat).Mul(whole(b.Elevation-a.Elevation), big.NewRat(int64(at-a.Station), int64(b.Station-a.Station)))
			return rise.Add(rise, whole(a.Elevation))
		}
	}
	return whole(g[len(g)-1].Elevation)
}

// Hump and dip bound the ground's departure from the line at every station, and
// are reached: with stations a nanometre apart all of them are looked at.
func TestDepartureLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Run{}
		var at measure.Length
		for range rapid.IntRange(0, 6).Draw(t, "points") {
			at += measure.Length(rapid.IntRange(1, 9).Draw(t, "step"))
			r.Ground = append(r.Ground, GroundPoint{at, measure.Length(rapid.IntRange(-50, 50).Draw(t, "elevation"))})
		}
		p := r.Profile()
		from := measure.Length(rapid.IntRange(0, 30).Draw(t, "from"))
		to := from + measure.Length(rapid.IntRange(1, 30).Draw(t, "length"))
		rise, run, straight := p.Grade(from, to)
		hump, dip := p.Departure(from, to)
		lowest, highest := p.Range(from, to)
		var most, least measure.Length
		for s := from; s <= to; s++ {
			line, _ := measure.MulDivRound(int64(rise), int64(s-from), int64(run))
			off := p.At(s) - p.At(from) - measure.Length(line)
			most, least = max(most, off), min(least, off)
			if e := p.At(s); e < lowest || e > highest {
				t.Errorf("at %d the ground is %d, not within %d and %d", s, e, lowest, highest)
			}
		}
		if hump < 0 || dip < 0 || (most-hump).Abs() > 1 || (-least-dip).Abs() > 1 {
			t.Errorf("hump %d, dip %d; seen %d and %d", hump, dip, most, -least)
		}
		if straight != (hump <= 1 && dip <= 1) {
			t.Errorf("straight %t with a hump of %d and a dip of %d", straight, hump, dip)
		}
	})
}

func TestGroundAtVertices(t *testing.T) {
	feet := func(l ...measure.Length) []measure.Length {
		for i := range l {
			l[i] *= ft
		}
		return l
	}
	for name, c := range map[string]struct {
		run        Run
		elevations []measure.Length
		want       string
	}{
		"open":            {line("0,0 3,4 3,10"), feet(1, 2, 3), "0,1 5,2 11,3"},
		"closed":          {loop("0,0 3,0 3,4"), feet(1, 2, 3), "0,1 3,2 7,3 12,1"},
		"none":            {line("0,0 3,4"), nil, ""},
		"one of three":    {line("0,0 3,4 3,10"), feet(1), "0,1"},
		"too few, closed": {loop("0,0 3,0 3,4"), feet(1, 2), "0,1 3,2 12,1"},
		"too many":        {line("0,0 3,4"), feet(1, 2, 3), "0,1 5,2"},
		"one vertex":      {line("0,0"), feet(1), "0,1"},
		"no vertex":       {line(""), feet(1), ""},
	} {
		if got := GroundAtVertices(c.run.Vertices, c.run.Closed, c.elevations); !slices.Equal(got, ground(c.want)) {
			t.Errorf("%s: %v, want %v", name, got, ground(c.want))
		}
	}
}

// A walk of 10,000 stations over 10,000 points costs a few nanoseconds a step.
func BenchmarkProfileWalk(b *testing.B) {
	var r Run
	for i := range 10_000 {
		r.Ground = append(r.Ground, GroundPoint{measure.Length(i) * ft, measure.Length(i%7) * measure.Inch})
	}
	for b.Loop() {
		p := r.Profile()
		for i := range 10_000 {
			p.At(measure.Length(i)*ft + 1)
		}
	}
}
