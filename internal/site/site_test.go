package site

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// line is a run through points given in feet: "0,0 40,0 40,30".
func line(points string) Run {
	r := Run{ID: "a"}
	for p := range strings.FieldsSeq(points) {
		east, north, _ := strings.Cut(p, ",")
		r.Vertices = append(r.Vertices, measure.Point{East: measure.Must(east + " ft"), North: measure.Must(north + " ft")})
	}
	return r
}

func loop(points string) Run {
	r := line(points)
	r.Closed = true
	return r
}

const ft = measure.Foot

func gate(id string, station, width measure.Length) Gate {
	return Gate{ID: id, Station: station, Width: width, Leaves: 1}
}

// wrong is everything wrong with a site, a line each.
func wrong(s Site) []string {
	v := new(fault.List)
	s.Validate(v.At("site"))
	err, ok := errors.AsType[*fault.Error](v.Err())
	if !ok {
		return nil
	}
	var lines []string
	for _, x := range err.Violations {
		lines = append(lines, x.Field+": "+x.Description)
	}
	return lines
}

func TestValidate(t *testing.T) {
	with := func(r Run, change func(*Run)) Run { change(&r); return r }
	gated := func(gates ...Gate) Run { return with(line("0,0 40,0 40,30"), func(r *Run) { r.Gates = gates }) }
	far := measure.MaxLength + 1
	for name, c := range map[string]struct {
		runs []Run
		want []string // the start of each violation, in order
	}{
		"sound":             {[]Run{line("0,0 40,0")}, nil},
		"sound loop":        {[]Run{loop("0,0 40,0 40,30")}, nil},
		"gate fills leg":    {[]Run{gated(gate("g", 40*ft, 30*ft))}, nil},
		"nothing":           {nil, []string{"site.runs: expected at least one run"}},
		"no id":             {[]Run{with(line("0,0 1,0"), func(r *Run) { r.ID = "" })}, []string{"site.runs[0].id: expected an id"}},
		"two without id":    {[]Run{{Vertices: line("0,0 1,0").Vertices}, {Vertices: line("0,0 1,0").Vertices}}, []string{"site.runs[0].id: expected an id", "site.runs[1].id: expected an id"}},
		"id twice":          {[]Run{line("0,0 1,0"), line("0,0 1,0")}, []string{`site.runs[1].id: "a" is also the id of runs[0]`}},
		"one vertex":        {[]Run{line("0,0")}, []string{"site.runs[0].vertices: expected at least 2 vertices, found 1"}},
		"no vertices":       {[]Run{line("")}, []string{"site.runs[0].vertices: expected at least 2 vertices, found 0"}},
		"flat loop":         {[]Run{loop("0,0 1,0")}, []string{"site.runs[0].vertices: expected at least 3 vertices in a closed run, found 2"}},
		"zero leg":          {[]Run{line("0,0 5,5 5,5 8,8")}, []string{"site.runs[0].vertices[2]: the same point as the vertex before it"}},
		"zero-length run":   {[]Run{line("5,5 5,5")}, []string{"site.runs[0].vertices[1]: the same point"}},
		"loop repeats":      {[]Run{loop("0,0 1,0 1,1 0,0")}, []string{"site.runs[0].vertices[3]: repeats the first vertex"}},
		"loop of one place": {[]Run{loop("0,0 0,0 0,0")}, []string{"site.runs[0].vertices[1]: the same point", "site.runs[0].vertices[2]: repeats the first vertex"}},
		"far away": {[]Run{{ID: "a", Vertices: []measure.Point{{East: far}, {North: -far}}}},
			[]string{"site.runs[0].vertices[0]: expected coordinates", "site.runs[0].vertices[1]: expected coordinates"}},
		"least int64": {[]Run{{ID: "a", Vertices: []measure.Point{{East: -1 << 63}, {}}}}, []string{"site.runs[0].vertices[0]: expected coordinates"}},
		"too long": {[]Run{{ID: "a", Vertices: []measure.Point{{East: -measure.MaxLength}, {East: measure.MaxLength}}}},
			[]string{"site.runs[0].vertices: expected a run of at most"}},
		"too long in all": {[]Run{
			{ID: "a", Vertices: []measure.Point{{}, {East: measure.MaxLength}}},
			{ID: "b", Vertices: []measure.Point{{}, {East: measure.MaxLength}}},
			{ID: "c", Vertices: []measure.Point{{}, {East: 1}}},
		}, []string{"site.runs: expected at most"}},
		"side and wall": {[]Run{with(line("0,0 1,0"), func(r *Run) {
			r.Face, r.Start, r.End = 2, Terminus{TieIn: true, WallGap: -1}, Terminus{TieIn: true, WallGap: far}
		})}, []string{"site.runs[0].face", "site.runs[0].start.wall_gap: expected 0 or more", "site.runs[0].end.wall_gap"}},
		"a loop has no ends": {[]Run{with(loop("0,0 1,0 1,1"), func(r *Run) { r.Start.TieIn, r.Start.WallGap = true, -1 })}, nil},
		"gate id":            {[]Run{gated(gate("", 10*ft, 4*ft))}, []string{"site.runs[0].gates[0].id: expected an id"}},
		"gate id twice":      {[]Run{gated(gate("g", 10*ft, 4*ft), gate("g", 20*ft, 4*ft))}, []string{`site.runs[0].gates[1].id: "g" is also the id of runs[0].gates[0]`}},
		"gate width":         {[]Run{gated(gate("g", 10*ft, 0), gate("h", 10*ft, -1))}, []string{"site.runs[0].gates[0].width: expected", "site.runs[0].gates[1].width: expected"}},
		"gate station":       {[]Run{gated(gate("g", -1, 4*ft), gate("h", 70*ft, 4*ft))}, []string{"site.runs[0].gates[0].station: expected", "site.runs[0].gates[1].station: 70 ft lies past the end"}},
		"gate round corner":  {[]Run{gated(gate("g", 38*ft, 4*ft))}, []string{"site.runs[0].gates[0].station: an opening from 38 ft to 42 ft passes the vertex at 40 ft"}},
		"gate past the end":  {[]Run{gated(gate("g", 68*ft, 4*ft))}, []string{"site.runs[0].gates[0].station: an opening"}},
		"gate wider":         {[]Run{gated(gate("g", 40*ft, 31*ft))}, []string{"site.runs[0].gates[0].width: an opening of 31 ft is wider than its leg, 30 ft"}},
		"gate words": {[]Run{gated(Gate{ID: "g", Station: 9 * ft, Width: 4 * ft, Leaves: 3, Hinge: 2, Swing: -1})},
			[]string{"site.runs[0].gates[0].leaves: expected 1 (single) or 2 (a pair), found 3", "site.runs[0].gates[0].hinge", "site.runs[0].gates[0].swing"}},
		"gate that slides": {[]Run{gated(Gate{ID: "g", Station: 9 * ft, Width: 4 * ft, Leaves: 2, Slides: true})},
			[]string{"site.runs[0].gates[0].leaves: a gate that slides has one leaf, found 2"}},
		"all at once": {[]Run{line("0,0"), with(gated(gate("g", -1, 0)), func(r *Run) { r.ID = "a" })},
			[]string{"site.runs[0].vertices", "site.runs[1].gates[0].width", "site.runs[1].gates[0].station", "site.runs[1].id"}},
	} {
		t.Run(name, func(t *testing.T) {
			got := wrong(Site{Runs: c.runs})
			ok := slices.EqualFunc(got, c.want, strings.HasPrefix)
			if !ok {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(c.want, "\n"))
			}
		})
	}
}

func TestLegs(t *testing.T) {
	for _, c := range []struct {
		run  Run
		legs string
	}{
		{line(""), ""},
		{line("3,4"), ""},
		{line("0,0 3,4"), "0-5"},
		{line("0,0 3,4 3,10"), "0-5 5-11"},
		{loop("0,0 3,0 3,4"), "0-3 3-7 7-12"},
	} {
		var got []string
		for _, l := range c.run.Legs() {
			got = append(got, fmt.Sprintf("%d-%d", l.Start/ft, l.End/ft))
		}
		if s := strings.Join(got, " "); s != c.legs {
			t.Errorf("%v: legs %q, want %q", c.run.Vertices, s, c.legs)
		}
	}
}

func TestPointAt(t *testing.T) {
	at := func(e, n measure.Length) measure.Point { return measure.Point{East: e * ft, North: n * ft} }
	corner := loop("0,0 6,0 6,8")
	for _, c := range []struct {
		run     Run
		station measure.Length
		want    measure.Point
	}{
		{corner, -1, at(0, 0)},
		{corner, 0, at(0, 0)},
		{corner, 3, at(3, 0)},
		{corner, 6, at(6, 0)},
		{corner, 10, at(6, 4)},
		{corner, 19, at(3, 4)}, // half way home
		{corner, 24, at(0, 0)},
		{corner, 25, at(0, 0)},
		{line("2,3"), 5, at(2, 3)},
		{line(""), 5, at(0, 0)},
	} {
		if got := c.run.PointAt(c.station * ft); got != c.want {
			t.Errorf("%v at %d ft: %v, want %v", c.run.Vertices, c.station, got, c.want)
		}
	}
}

// A station's point is that station's distance along its leg, to a nanometre.
func TestPointAtLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.Int64Range(-int64(measure.Mile), int64(measure.Mile))
		r := Run{ID: "a", Closed: rapid.Bool().Draw(t, "closed")}
		for range rapid.IntRange(3, 6).Draw(t, "vertices") {
			r.Vertices = append(r.Vertices, measure.Point{East: measure.Length(coordinate.Draw(t, "east")), North: measure.Length(coordinate.Draw(t, "north"))})
		}
		v := new(fault.List)
		if r.Validate(v); v.Len() > 0 {
			t.Skip("no sound run")
		}
		station := measure.Length(rapid.Int64Range(0, int64(r.Length())).Draw(t, "station"))
		legs := r.Legs()
		leg := legs[LegAt(legs, station)]
		p := r.PointAt(station)
		if off := leg.From.DistanceTo(p) - (station - leg.Start); off.Abs() > 1 {
			t.Errorf("station %d lies %d nm off", station, off)
		}
		if off := leg.To.DistanceTo(p) - (leg.End - station); off.Abs() > 2 {
			t.Errorf("station %d lies %d nm off from the leg's end", station, off)
		}
	})
}
