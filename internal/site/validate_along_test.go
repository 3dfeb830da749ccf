package site

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/measure"
)

// tried is a table of runs, each with a change, and the start of every
// violation below site.runs[0], in order.
type tried map[string]struct {
	run    Run
	change func(*Run)
	want   []string
}

func (c tried) test(t *testing.T) {
	for name, c := range c {
		t.Run(name, func(t *testing.T) {
			c.change(&c.run)
			var got []string
			for _, w := range wrong(Site{Runs: []Run{c.run}}) {
				got = append(got, strings.TrimPrefix(w, "site.runs[0]."))
			}
			if !slices.EqualFunc(got, c.want, strings.HasPrefix) {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(c.want, "\n"))
			}
		})
	}
}

// straight is 40 ft long, square has sides of 20 ft.
var straight, square = line("0,0 40,0"), loop("0,0 20,0 20,20 0,20")

func TestValidateGround(t *testing.T) {
	lies := func(points string) func(*Run) { return func(r *Run) { r.Ground = ground(points) } }
	tried{
		"sound":             {straight, lies("0,0 10,5 40,-5"), nil},
		"one point":         {straight, lies("12,700"), nil},
		"as steep as may":   {straight, lies("0,0 10,10 20,0"), nil},
		"on a mountain":     {straight, lies("0,29000"), nil},
		"past the end":      {straight, lies("0,0 41,5"), []string{"ground[1].station: 41 ft lies past the end of the run at 40 ft"}},
		"before the start":  {straight, lies("-1,0 10,5"), []string{"ground[0].station: expected a station of 0 or more, found -1 ft"}},
		"no grade from it":  {straight, lies("-1,0 10,40"), []string{"ground[0].station"}},
		"out of order":      {straight, lies("0,0 30,1 20,5 40,0"), []string{"ground[2].station: stations out of order: 20 ft comes after 30 ft; expected them ascending"}},
		"a station twice":   {straight, lies("20,1 20,5"), []string{"ground[1].station: stations out of order: 20 ft comes after 20 ft"}},
		"too high":          {straight, lies("0,40000 20,-40000"), []string{"ground[0].elevation: expected an elevation of at most", "ground[1].elevation: expected an elevation of at most"}},
		"up too steeply":    {straight, lies("5,0 15,12"), []string{"ground[1].elevation: 12 ft over the 10 ft from 5 ft is a grade of 120 %; expected at most 100 % (1 in 1)"}},
		"down too steeply":  {straight, lies("5,0 15,-12.5"), []string{"ground[1].elevation: 12 ft 6 in over the 10 ft from 5 ft is a grade of 125 %"}},
		"a hair too steep":  {straight, func(r *Run) { r.Ground = []GroundPoint{{0, 0}, {10 * ft, 10*ft + 1}} }, []string{"ground[1].elevation: 10 ft over the 10 ft from 0 in is a grade of 101 %"}},
		"loop":              {square, lies("0,3 40,5 80,3"), nil},
		"loop, one point":   {square, lies("20,3"), nil},
		"loop that steps":   {square, lies("0,3 40,5 80,2"), []string{"ground[2].elevation: the ground would step by 1 ft where the closed run comes back to its start; expected the same elevation"}},
		"loop, points left": {square, lies("10,3 70,4"), []string{"ground[1].elevation: the ground would step by 1 ft"}},
		"no run to lie on":  {line("0,0"), lies("90,0 80,5"), []string{"vertices: expected at least 2", "ground[1].station: stations out of order"}},
		"all at once":       {straight, lies("-1,0 50,0 20,9 25,40"), []string{"ground[0].station", "ground[1].station", "ground[2].station: stations out of order", "ground[3].elevation"}},
	}.test(t)
}

func TestValidateKeepOuts(t *testing.T) {
	keep := func(k ...KeepOut) func(*Run) { return func(r *Run) { r.KeepOuts = k } }
	tried{
		"sound":                 {straight, keep(KeepOut{"gas", 0, 1}, KeepOut{"root", 10 * ft, 40 * ft}, KeepOut{"", 10 * ft, 11 * ft}, KeepOut{"", 10 * ft, 11 * ft}), nil},
		"past the end":          {straight, keep(KeepOut{"", 39 * ft, 50 * ft}, KeepOut{"", 40 * ft, 50 * ft}), nil},
		"off the run":           {straight, keep(KeepOut{"", 41 * ft, 50 * ft}), []string{"keep_outs[0].from: 41 ft lies past the end of the run at 40 ft"}},
		"past the end, a loop":  {square, keep(KeepOut{"", 79 * ft, 81 * ft}), []string{"keep_outs[0].to: 81 ft lies past the end of the run at 80 ft"}},
		"before the start":      {straight, keep(KeepOut{"", -ft, ft}), []string{"keep_outs[0].from: expected a station of 0 or more, found -1 ft"}},
		"no width":              {straight, keep(KeepOut{"", ft, ft}), []string{"keep_outs[0].to: an interval from 1 ft to 1 ft has no width"}},
		"turned round":          {straight, keep(KeepOut{"", 2 * ft, ft}), []string{"keep_outs[0].to: an interval from 2 ft to 1 ft has no width"}},
		"an id twice":           {straight, keep(KeepOut{"gas", 0, 1}, KeepOut{"", 0, 1}, KeepOut{"gas", 5, 6}), []string{`keep_outs[2].id: "gas" is also the id of keep_outs[0]; expected an id of its own, or none`}},
		"no run to be kept off": {line("0,0"), keep(KeepOut{"", 9 * ft, 12 * ft}, KeepOut{"", 9 * ft, 9 * ft}), []string{"vertices", "keep_outs[1].to"}},
	}.test(t)
}

func TestValidatePins(t *testing.T) {
	pin := func(stations ...measure.Length) func(*Run) {
		return func(r *Run) {
			for _, s := range stations {
				r.Pins = append(r.Pins, Pin{Station: s})
			}
		}
	}
	const eighth = measure.Inch / 8
	tried{
		"sound":                {straight, pin(40*ft, 0, 10*ft, 10*ft+eighth+1), nil},
		"past the end":         {straight, pin(40*ft + 1), []string{"pins[0].station: 12192.000001 mm lies past the end of the run at 40 ft"}},
		"well past the end":    {straight, pin(41 * ft), []string{"pins[0].station: 41 ft lies past the end of the run at 40 ft"}},
		"before the start":     {straight, pin(-1), []string{"pins[0].station: expected a station of 0 or more"}},
		"two for one post":     {straight, pin(10*ft, 20*ft, 10*ft-eighth), []string{"pins[2].station: 9 ft 11-7/8 in is within 1/8 in of pins[0] at 10 ft; expected one pin for one post"}},
		"the same twice":       {straight, pin(10*ft, 10*ft, 10*ft), []string{"pins[1].station: 10 ft is within 1/8 in of pins[0]", "pins[2].station: 10 ft is within 1/8 in of pins[1]"}},
		"round a loop's start": {square, pin(0, 80*ft), []string{"pins[1].station: 80 ft is within 1/8 in of pins[0] at 0 in"}},
		"one in a loop":        {square, pin(0), nil},
		"two in a loop, once":  {square, pin(0, eighth, 40*ft), []string{"pins[1].station"}},
	}.test(t)
}

func TestValidateParts(t *testing.T) {
	parts := func(p ...SlopePart) func(*Run) { return func(r *Run) { r.Slopes = p } }
	beside := func(n ...Neighbour) func(*Run) { return func(r *Run) { r.Neighbours = n } }
	tried{
		"slopes":               {straight, parts(SlopePart{20 * ft, 40 * ft, true}, SlopePart{0, 10 * ft, false}, SlopePart{10 * ft, 20 * ft, true}), nil},
		"slope past the end":   {straight, parts(SlopePart{20 * ft, 41 * ft, true}), []string{"slopes[0].to: 41 ft lies past the end"}},
		"slope before":         {straight, parts(SlopePart{-1, 4 * ft, true}), []string{"slopes[0].from: expected a station of 0 or more"}},
		"slope without width":  {straight, parts(SlopePart{ft, ft, true}), []string{"slopes[0].to: an interval from 1 ft to 1 ft has no width"}},
		"slopes overlap":       {straight, parts(SlopePart{9 * ft, 20 * ft, true}, SlopePart{0, 10 * ft, true}), []string{"slopes[0].from: the part from 9 ft to 20 ft overlaps slopes[1] from 0 in to 10 ft"}},
		"a slope over two":     {straight, parts(SlopePart{0, 40 * ft, true}, SlopePart{5 * ft, 10 * ft, true}, SlopePart{20 * ft, 30 * ft, true}), []string{"slopes[1].from", "slopes[2].from: the part from 20 ft to 30 ft overlaps slopes[0]"}},
		"neighbours":           {straight, beside(Neighbour{0, 40 * ft, Right, 0}, Neighbour{5 * ft, 9 * ft, Left, ft}), nil},
		"neighbour of nothing": {straight, beside(Neighbour{}), []string{"neighbours[0].to: an interval from 0 in to 0 in has no width"}},
		"neighbour wrong": {straight, beside(Neighbour{-1, 41 * ft, 2, -1}),
			[]string{"neighbours[0].from: expected", "neighbours[0].to: 41 ft lies past", "neighbours[0].side: expected left or right", "neighbours[0].gap: expected a gap of 0 or more"}},
	}.test(t)
}

func TestValidateChords(t *testing.T) {
	bends := line("0,0 10,0 20,1 30,3 40,6")
	chords := func(c ...int) func(*Run) { return func(r *Run) { r.Chords = c } }
	tried{
		"sound":            {bends, chords(1, 2, 3), nil},
		"ends":             {bends, chords(0, 4), []string{"chords[0]: expected the index of a vertex that is no end of the run, 1 to 3, found 0", "chords[1]: expected the index"}},
		"no such vertex":   {bends, chords(-1, 5), []string{"chords[0]: expected", "chords[1]: expected"}},
		"out of order":     {bends, chords(2, 1), []string{"chords[1]: indices out of order: 1 comes after 2; expected them ascending"}},
		"twice":            {bends, chords(2, 2), []string{"chords[1]: indices out of order"}},
		"no bends":         {straight, chords(1), []string{"chords[0]: expected none, as the run has no vertex between its ends; found 1"}},
		"all of a loop":    {square, chords(0, 1, 2, 3), nil},
		"too many, a loop": {square, chords(4), []string{"chords[0]: expected the index of a vertex, 0 to 3, found 4"}},
	}.test(t)
}

func TestValidateLinePost(t *testing.T) {
	run := func(id, start, end string) Run {
		r := line("0,0 40,0")
		r.ID, r.Start.LinePostOf, r.End.LinePostOf = id, start, end
		return r
	}
	walled := run("b", "a", "")
	walled.Start.TieIn = true
	ring := square
	ring.Start.LinePostOf = "nowhere"
	for name, c := range map[string]struct {
		runs []Run
		want []string
	}{
		"sound":         {[]Run{run("a", "", ""), run("b", "a", "a")}, nil},
		"two on one":    {[]Run{run("a", "", ""), run("b", "a", ""), run("c", "", "a")}, nil},
		"of a loop":     {[]Run{ring, run("b", "a", "")}, nil},
		"itself":        {[]Run{run("a", "a", "")}, []string{`site.runs[0].start.line_post_of: "a" is this run itself; expected a run listed before it`}},
		"unknown":       {[]Run{run("a", "", "x")}, []string{`site.runs[0].end.line_post_of: no run listed before this one has the id "x"`}},
		"listed later":  {[]Run{run("a", "b", ""), run("b", "", "")}, []string{`site.runs[0].start.line_post_of: no run listed before this one has the id "b"`}},
		"a chain":       {[]Run{run("a", "", ""), run("b", "", "a"), run("c", "b", "")}, []string{`site.runs[2].start.line_post_of: run "b" itself ends at a line post of another run`}},
		"wall and post": {[]Run{run("a", "", ""), walled}, []string{"site.runs[1].start.line_post_of: expected a wall or a line post of another run at this end, found both"}},
		"an id used twice": {[]Run{run("a", "", ""), run("a", "a", "")}, []string{
			`site.runs[1].id: "a" is also the id of runs[0]`}},
	} {
		if got := wrong(Site{Runs: c.runs}); !slices.EqualFunc(got, c.want, strings.HasPrefix) {
			t.Errorf("%s: got\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

func TestValidateObstacles(t *testing.T) {
	far := measure.MaxLength + 1
	at := []measure.Point{{}}
	many := func(n, vertices int) (all []Obstacle) {
		for i := range n {
			all = append(all, Obstacle{fmt.Sprint(i), make([]measure.Point, vertices), ft})
		}
		return all
	}
	for name, c := range map[string]struct {
		obstacles []Obstacle
		want      []string
	}{
		"sound":             {[]Obstacle{{"gas", line("0,-9 0,9").Vertices, ft}, {"tree", at, 1}}, nil},
		"no id":             {[]Obstacle{{"", at, ft}, {"", at, ft}}, []string{"site.obstacles[0].id: expected an id", "site.obstacles[1].id: expected an id"}},
		"an id twice":       {[]Obstacle{{"o", at, ft}, {"o", at, ft}}, []string{`site.obstacles[1].id: "o" is also the id of obstacles[0]; expected an id of its own`}},
		"no path":           {[]Obstacle{{"o", nil, ft}}, []string{"site.obstacles[0].path: expected one vertex (a point) or more (a line)"}},
		"long path":         {many(1, 1001), []string{"site.obstacles[0].path: expected at most 1000 vertices, found 1001"}},
		"far away":          {[]Obstacle{{"o", []measure.Point{{}, {East: far}, {North: -far}}, ft}}, []string{"site.obstacles[0].path[1]: expected coordinates of at most", "site.obstacles[0].path[2]"}},
		"no clearance":      {[]Obstacle{{"o", at, 0}, {"p", at, -1}, {"q", at, far}}, []string{"site.obstacles[0].clearance: expected a clearance of more than 0", "site.obstacles[1].clearance", "site.obstacles[2].clearance"}},
		"as many as may":    {many(1000, 10), nil},
		"too many":          {many(1001, 1), []string{"site.obstacles: expected at most 1000 obstacles, found 1001"}},
		"too many in all":   {many(11, 1000), []string{"site.obstacles: expected at most 10000 vertices in all paths together, found 11000"}},
		"all that is amiss": {[]Obstacle{{}}, []string{"site.obstacles[0].id", "site.obstacles[0].path", "site.obstacles[0].clearance"}},
	} {
		if got := wrong(Site{Runs: []Run{straight}, Obstacles: c.obstacles}); !slices.EqualFunc(got, c.want, strings.HasPrefix) {
			t.Errorf("%s: got\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
	var zigzag Run
	for i := range 30 {
		zigzag.Vertices = append(zigzag.Vertices, measure.Point{East: measure.Length(i%2) * ft, North: measure.Length(i) * ft})
	}
	zigzag.ID = "a"
	want := []string{"site.obstacles: their sides come near sides of runs more than 250000 times; expected fewer obstacles"}
	obstacles := many(10, 1000)
	for i := range obstacles {
		obstacles[i].Clearance = measure.Mile
	}
	if got := wrong(Site{Runs: []Run{zigzag}, Obstacles: obstacles}); !slices.EqualFunc(got, want, strings.HasPrefix) {
		t.Errorf("a tangle: got %v", got)
	}
}

// whole is a sound site in which every length matters.
func whole() Site {
	r := line("0,0 40,0 40,30")
	wall := Terminus{TieIn: true, WallGap: measure.Inch}
	r.Start, r.End = wall, wall
	r.Gates = []Gate{gate("g", 20*ft, 4*ft)}
	r.Ground = ground("0,1 20,2 40,3")
	r.KeepOuts = []KeepOut{{"gas", 10 * ft, 12 * ft}}
	r.Pins = []Pin{{Station: 8 * ft}, {Station: 50 * ft}}
	r.Slopes = []SlopePart{{0, 20 * ft, true}, {20 * ft, 40 * ft, false}}
	r.Neighbours = []Neighbour{{0, 40 * ft, Left, ft}}
	return Site{Runs: []Run{r}, Obstacles: []Obstacle{obstacle("tree", "20,3 30,9", 5*ft)},
		Conditions: Conditions{TearOut: []OldFence{{Length: 40 * ft, Height: 4 * ft}}}}
}

// eachLength calls f with every length in a value, and its path.
func eachLength(v reflect.Value, path string, f func(path string, l *measure.Length)) {
	if l, ok := reflect.TypeAssert[*measure.Length](v.Addr()); ok {
		f(path, l)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if !v.Type().Field(i).IsExported() {
				continue // a decimal's or a date's own
			}
			eachLength(v.Field(i), path+"."+v.Type().Field(i).Name, f)
		}
	case reflect.Slice:
		for i := range v.Len() {
			eachLength(v.Index(i), fmt.Sprintf("%s[%d]", path, i), f)
		}
	default:
	}
}

// The ends of int64 are refused in every field, whole or beside another such
// length, and nothing that reads the site trips over them.
func TestExtremeLengths(t *testing.T) {
	if got := wrong(whole()); got != nil {
		t.Fatalf("the site is unsound to begin with: %v", got)
	}
	s, fields := whole(), 0
	eachLength(reflect.ValueOf(&s).Elem(), "site", func(path string, l *measure.Length) {
		fields++
		was := *l
		for _, extreme := range []measure.Length{math.MinInt64, math.MinInt64 + 1, -measure.MaxLength - 1, measure.MaxLength + 1, math.MaxInt64 - 1, math.MaxInt64} {
			*l = extreme
			if wrong(s) == nil {
				t.Errorf("%s = %d is taken", path, extreme)
			}
			use(s)
		}
		*l = was
	})
	if fields != 37 {
		t.Errorf("%d lengths tried; a new field belongs into the site, and then into this count", fields)
	}
}

// use reads the site in every way there is.
func use(s Site) {
	for i, r := range s.Runs {
		s.Barred(i)
		p := r.Profile()
		for _, at := range []measure.Length{math.MinInt64, -1, 0, 10 * ft, math.MaxInt64} {
			for _, to := range []measure.Length{math.MinInt64, 0, 30 * ft, math.MaxInt64} {
				p.Grade(at, to)
				p.Range(at, to)
			}
		}
		var elevations []measure.Length
		for range r.Vertices {
			elevations = append(elevations, math.MinInt64)
		}
		GroundAtVertices(r.Vertices, r.Closed, elevations)
	}
}

// Whatever the lengths are, all at once, there is an answer.
func TestAnyLengthsLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := whole()
		s.Runs[0].Closed = rapid.Bool().Draw(t, "closed")
		ends := rapid.SampledFrom([]int64{math.MinInt64, math.MinInt64 + 1, -1, 0, 1, int64(measure.MaxLength), math.MaxInt64})
		eachLength(reflect.ValueOf(&s).Elem(), "site", func(path string, l *measure.Length) {
			if rapid.Bool().Draw(t, "change "+path) {
				*l = measure.Length(rapid.OneOf(ends, rapid.Int64()).Draw(t, path))
			}
		})
		wrong(s)
		use(s)
	})
}

// A closed run whose last vertex all but repeats the first has said it twice.
func TestValidateClosingSide(t *testing.T) {
	closing := func(side measure.Length) Run {
		r := loop("0,0 20,0 20,20 0,0")
		r.Vertices[3].North = side
		return r
	}
	tried{
		"1/64 in":      {closing(measure.Inch / 64), func(*Run) {}, []string{"vertices[3]: stands 1/64 in from the first vertex and nearly repeats it; a closed run ends where it started without saying so again, leave this vertex out"}},
		"under 1/8 in": {closing(measure.Inch/8 - 1), func(*Run) {}, []string{"vertices[3]: stands"}},
		"1/8 in":       {closing(measure.Inch / 8), func(*Run) {}, nil},
		"not closed":   {closing(measure.Inch / 64), func(r *Run) { r.Closed = false }, nil},
	}.test(t)
}
