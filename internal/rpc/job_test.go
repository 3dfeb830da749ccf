package rpc

import (
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// at is a vertex, "10 ft,20 ft" east and north, with an elevation where there
// is a third.
func at(text string) *wattlev1.Vertex {
	part := strings.Split(text+",,", ",")
	return &wattlev1.Vertex{East: part[0], North: part[1], Elevation: part[2]}
}

// bend is a vertex that an arc to the left comes to.
func bend(text, radius string) *wattlev1.Vertex {
	v := at(text)
	v.Arc = &wattlev1.Arc{Radius: radius}
	return v
}

func run(vertices ...*wattlev1.Vertex) *wattlev1.Run {
	return &wattlev1.Run{Id: "r", Vertices: vertices}
}

func survey(t *wattlev1.Traverse) *wattlev1.Run { return &wattlev1.Run{Id: "r", Traverse: t} }

func closed(r *wattlev1.Run) *wattlev1.Run { r.Closed = true; return r }

func jobOf(runs ...*wattlev1.Run) *wattlev1.PlanLayoutRequest {
	return &wattlev1.PlanLayoutRequest{Site: &wattlev1.Site{Runs: runs}, Spec: &wattlev1.Spec{Height: "6 ft"}}
}

// printed is a run's line as text: its vertices, those inside arcs in brackets,
// and its ground.
func printed(r site.Run) string {
	chords := map[int]bool{}
	for _, c := range r.Chords {
		chords[c] = true
	}
	var words []string
	for i, p := range r.Vertices {
		word := p.East.Imperial() + ", " + p.North.Imperial()
		if chords[i] {
			word = "(" + word + ")"
		}
		words = append(words, word)
	}
	for _, g := range r.Ground {
		words = append(words, g.Station.Imperial()+" at "+g.Elevation.Imperial())
	}
	return strings.Join(words, "; ")
}

func TestFormsOfARun(t *testing.T) {
	square := "due E 40 ft\ndue N 30 ft\ndue W 40 ft\ndue S 30 ft"
	for _, c := range []struct {
		name string
		run  *wattlev1.Run
		want string
	}{
		{"elevations at vertices", run(at("0 ft,0 ft,1 ft"), at("10 ft,0 ft,2 ft")), "0 in, 0 in; 10 ft, 0 in; 0 in at 1 ft; 10 ft at 2 ft"},
		{"a closed run comes home", closed(run(at("0 ft,0 ft,1 ft"), at("3 ft,0 ft,2 ft"), at("3 ft,4 ft,2 ft"))),
			"0 in, 0 in; 3 ft, 0 in; 3 ft, 4 ft; 0 in at 1 ft; 3 ft at 2 ft; 7 ft at 2 ft; 12 ft at 1 ft"},
		// Half of a hexagon in a circle of 8 ft: three chords of the widest bay.
		{"half a circle", run(at("-8 ft,0 ft"), bend("8 ft,0 ft", "8 ft")), "-8 ft, 0 in; (-4 ft, -6 ft 11-1/8 in); (4 ft, -6 ft 11-1/8 in); 8 ft, 0 in"},
		{"the ground lies along its chords", run(at("-8 ft,0 ft,0 ft"), bend("8 ft,0 ft,2 ft", "8 ft")),
			"-8 ft, 0 in; (-4 ft, -6 ft 11-1/8 in); (4 ft, -6 ft 11-1/8 in); 8 ft, 0 in; 0 in at 0 in; 24 ft at 2 ft"},
		{"a closed run's last side", closed(run(bend("0 ft,0 ft", "8 ft"), at("0 ft,8 ft"), at("-8 ft,0 ft"))), "0 in, 0 in; 0 in, 8 ft; -8 ft, 0 in"},
		{"a closed run's last side, in chords", closed(run(bend("8 ft,0 ft", "8 ft"), at("0 ft,8 ft"), at("-8 ft,0 ft"))),
			"8 ft, 0 in; 0 in, 8 ft; -8 ft, 0 in; (-4 ft, -6 ft 11-1/8 in); (4 ft, -6 ft 11-1/8 in)"},
		{"a traverse", survey(&wattlev1.Traverse{Text: "due E 40 ft\ndue N 30 ft", Start: at("1 ft,2 ft")}), "1 ft, 2 ft; 41 ft, 2 ft; 41 ft, 32 ft"},
		{"around", closed(survey(&wattlev1.Traverse{Text: square})), "0 in, 0 in; 40 ft, 0 in; 40 ft, 30 ft; 0 in, 30 ft"},
		{"back to its start, not closed", survey(&wattlev1.Traverse{Text: square, Closes: true}), "0 in, 0 in; 40 ft, 0 in; 40 ft, 30 ft; 0 in, 30 ft; 0 in, 0 in"},
		{"a traverse up a slope of 3 in 4", survey(&wattlev1.Traverse{Start: at("0 ft,0 ft,5 ft"), Legs: []*wattlev1.Traverse_Leg{{Bearing: "due E", Distance: "50 ft", Percent: "75"}, {Bearing: "due N", Distance: "10 ft"}}}),
			"0 in, 0 in; 40 ft, 0 in; 40 ft, 10 ft; 0 in at 5 ft; 40 ft at 35 ft; 50 ft at 35 ft"},
		{"a level traverse on its elevation", survey(&wattlev1.Traverse{Start: at("0 ft,0 ft,5 ft"), Text: "due E 40 ft"}), "0 in, 0 in; 40 ft, 0 in; 0 in at 5 ft"},
	} {
		j, err := JobFromProto(jobOf(c.run))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got := printed(j.Site.Runs[0]); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
		if j.echo() == nil {
			t.Errorf("%s: local coordinates are not answered", c.name)
		}
	}
}

// The request's own chords follow its vertices to where arcs move them.
func TestChordsKeepTheirVertices(t *testing.T) {
	r := run(at("-8 ft,0 ft"), bend("8 ft,0 ft", "8 ft"), at("8 ft,9 ft"))
	r.Chords = []int32{1}
	j, err := JobFromProto(jobOf(r))
	if want := "-8 ft, 0 in; (-4 ft, -6 ft 11-1/8 in); (4 ft, -6 ft 11-1/8 in); (8 ft, 0 in); 8 ft, 9 ft"; err != nil || printed(j.Site.Runs[0]) != want {
		t.Errorf("%v; got %s, want %s", err, printed(j.Site.Runs[0]), want)
	}
}

// Where an arc runs on without a turn its ends are bends too; where the line
// turns they are not.
//
//	0----1
//	      )   half a circle of 16 ft to the left, then straight on
//	3----2
func TestSmoothEndsOfArcsAreBends(t *testing.T) {
	for _, c := range []struct {
		name string
		run  *wattlev1.Run
		want []int
	}{
		{"both ends", run(at("0 ft,0 ft"), at("40 ft,0 ft"), bend("40 ft,32 ft", "16 ft"), at("0 ft,32 ft")), []int{1, 2, 3, 4, 5, 6, 7, 8}},
		{"a corner where it ends", run(at("0 ft,0 ft"), at("40 ft,0 ft"), bend("40 ft,32 ft", "16 ft"), at("40 ft,90 ft")), []int{1, 2, 3, 4, 5, 6, 7}},
		{"a corner where it begins", run(at("40 ft,-40 ft"), at("40 ft,0 ft"), bend("40 ft,32 ft", "16 ft"), at("0 ft,32 ft")), []int{2, 3, 4, 5, 6, 7, 8}},
		{"from one arc into another", run(at("0 ft,0 ft"), bend("0 ft,32 ft", "16 ft"), bend("0 ft,0 ft", "16 ft"), at("9 ft,0 ft")), []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14}},
		{"around a circle", closed(run(bend("0 ft,0 ft", "16 ft"), bend("0 ft,32 ft", "16 ft"))), []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13}},
	} {
		j, err := JobFromProto(jobOf(c.run))
		if err != nil || !slices.Equal(j.Site.Runs[0].Chords, c.want) {
			t.Errorf("%s: %v, chords %v of %d vertices, want %v", c.name, err, j.Site.Runs[0].Chords, len(j.Site.Runs[0].Vertices), c.want)
		}
	}
}

// An arc takes the chord of its radius from the spec's table.
func TestArcsGoByTheSpec(t *testing.T) {
	request := jobOf(run(at("-8 ft,0 ft"), bend("8 ft,0 ft", "8 ft")))
	request.Spec.Curves = []*wattlev1.Spec_Curve{{Radius: "8 ft", Chord: "16 ft"}}
	j, err := JobFromProto(request)
	if err != nil || len(j.Site.Runs[0].Vertices) != 2 {
		t.Errorf("one chord of 16 ft: %v, %v", j.Site, err)
	}
	request.Spec.Curves[0].Radius = "9 ft"
	if _, err = JobFromProto(request); err == nil || !strings.Contains(err.Error(), "site.runs[0].vertices[1].arc.radius: spec.curves has no row for arcs as tight as 8 ft") {
		t.Errorf("tighter than every row: %v", err)
	}
}

// Reading stands what the shape's rules refuse, since both are told at once.
func TestShapelessArcs(t *testing.T) {
	one := closed(run(bend("0 ft,0 ft", "8 ft")))
	far := run(at("-8 ft,0 ft"), bend("8 ft,0 ft", "8 ft"))
	far.Chords = []int32{-1, 9}
	none := run(at("0 ft,0 ft"), &wattlev1.Vertex{Arc: &wattlev1.Arc{}})
	for name, c := range map[string]struct {
		run  *wattlev1.Run
		want []string
	}{
		"one vertex":     {one, []string{"site.runs[0].vertices[0].arc"}},
		"no such vertex": {far, []string{"site.runs[0].chords", "site.runs[0].chords"}},
		"an empty arc":   {none, []string{"site.runs[0].vertices[1].arc.radius"}},
	} {
		if _, err := JobFromProto(jobOf(c.run)); !slices.Equal(fieldsOf(err), c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := JobFromProto(&wattlev1.CreateQuoteRequest{}); !slices.Equal(fieldsOf(err), []string{"spec"}) {
		t.Errorf("nothing at all: %v", err)
	}
}

const lane = `{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"id":"lane"},"geometry":{"type":"LineString","coordinates":[[-93,42],[-92.9998,42]]}},
{"type":"Feature","properties":{"kind":"keep-out","id":"oak","clearance":"3 ft"},"geometry":{"type":"Point","coordinates":[-92.9999,42]}}]}`

func TestGeoJSONComesAfterTheOwnRuns(t *testing.T) {
	request := jobOf(run(at("0 ft,-50 ft"), at("24 ft,-50 ft")))
	request.Site.Geojson = lane
	request.Site.Obstacles = []*wattlev1.Obstacle{{Id: "gas", Path: []*wattlev1.Vertex{at("90 ft,0 ft")}, Clearance: "1 ft"}}
	j, err := JobFromProto(request)
	if err != nil {
		t.Fatal(err)
	}
	s := j.Site
	if len(s.Runs) != 2 || s.Runs[0].ID != "r" || s.Runs[1].ID != "lane" || len(s.Obstacles) != 2 || s.Obstacles[0].ID != "gas" || s.Obstacles[1].ID != "oak" {
		t.Errorf("%+v", s)
	}
	if s.Runs[1].Vertices[0] != (measure.Point{}) {
		t.Errorf("the first position is at %v, not at the origin", s.Runs[1].Vertices[0])
	}
}

// A map lies about its own first position or about the origin that is given,
// and the answer says which; with one it may hold obstacles only.
func TestMapOrigin(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	oak := `{"type":"Feature","properties":{"kind":"keep-out","id":"oak","clearance":"3 ft"},"geometry":{"type":"Point","coordinates":[-92.9999,42]}}`
	own := run(at("0 ft,-50 ft"), at("24 ft,-50 ft"))
	origin := func(lon, lat float64) *wattlev1.GeoOrigin {
		return &wattlev1.GeoOrigin{Longitude: &lon, Latitude: &lat}
	}
	plan := func(geojson string, o *wattlev1.GeoOrigin, runs ...*wattlev1.Run) *wattlev1.PlanLayoutRequest {
		request := jobOf(runs...)
		request.Site.Geojson, request.Site.GeojsonOrigin = geojson, o
		return request
	}
	for _, c := range []struct {
		name     string
		request  *wattlev1.PlanLayoutRequest
		lon, lat float64
		oak      string // how far east
	}{
		// 1/10,000 degree of longitude is 8.285 m at 42 degrees [a pi/180 cos 42 / sqrt(1 - e^2 sin^2 42) / 10,000].
		{"its own", plan(lane, nil), -93, 42, "27 ft 2-3/16 in"},
		{"a given one", plan(lane, origin(-92.9999, 42), own), -92.9999, 42, "0 in"},
		{"obstacles only", plan(oak, origin(-93, 42), own), -93, 42, "27 ft 2-3/16 in"},
	} {
		answer, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), c.request)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		o := answer.GetGeojsonOrigin()
		obstacles := answer.GetSite().GetObstacles()
		if o.GetLongitude() != c.lon || o.GetLatitude() != c.lat || len(obstacles) != 1 {
			t.Errorf("%s: origin %v, obstacles %v", c.name, o, obstacles)
			continue
		}
		if east := measure.Must(obstacles[0].GetPath()[0].GetEast()).Imperial(); east != c.oak {
			t.Errorf("%s: the oak is %s east, want %s", c.name, east, c.oak)
		}
	}
	if answer, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), jobOf(own)); err != nil || answer.GetGeojsonOrigin() != nil {
		t.Errorf("without a map: %v, origin %v", err, answer.GetGeojsonOrigin())
	}
	for _, c := range []struct {
		name    string
		request *wattlev1.PlanLayoutRequest
		want    []string
	}{
		{"obstacles that are nowhere", plan(oak, nil, own), []string{"site.geojson: it has no run to begin at, so nothing says where it lies beside the other runs; expected geojson_origin"}},
		{"no run at all", plan(oak, origin(-93, 42)), []string{"site.geojson: expected at least one run"}},
		{"no map", plan("", origin(-93, 42), own), []string{"site.geojson_origin: there is no map"}},
		{"off the earth", plan(lane, origin(-181, 91)), []string{"site.geojson_origin.longitude: ", "site.geojson_origin.latitude: "}},
		{"swapped", plan(lane, origin(42, -93)), []string{"site.geojson_origin.latitude: "}},
		{"half of it", plan(lane, &wattlev1.GeoOrigin{Longitude: new(-93.0)}), []string{"site.geojson_origin.latitude: "}},
		{"far from it", plan(oak, origin(-92, 42), own), []string{"site.geojson.geometry.coordinates: more than 30 km from the origin"}},
	} {
		got := describe(refused(t, conn, c.request))
		ok := len(got) == len(c.want)
		for i := range min(len(got), len(c.want)) {
			ok = ok && strings.HasPrefix(got[i], c.want[i])
		}
		if !ok {
			t.Errorf("%s: got\n%s\nwant the starts\n%s", c.name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
	// Without the shape's rules before it, reading says the same.
	if _, err := JobFromProto(plan(lane, &wattlev1.GeoOrigin{})); !slices.Equal(fieldsOf(err), []string{"site.geojson_origin.longitude", "site.geojson_origin.latitude"}) {
		t.Errorf("an origin without figures: %v", err)
	}
	if _, err := JobFromProto(plan(lane, origin(-181, 91))); !slices.Equal(fieldsOf(err), []string{"site.geojson_origin.longitude", "site.geojson_origin.latitude"}) {
		t.Errorf("off the earth: %v", err)
	}
}

// A layout and a take-off answer how a traverse closes, its elevations too.
func TestClosuresAreAnswered(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	hill := closed(survey(&wattlev1.Traverse{Text: "due E 40 ft; due N 30 ft; due W 40 ft; due S 30 ft rise -6 in", Balance: true}))
	level := closed(survey(&wattlev1.Traverse{Text: "due E 40 ft; due N 30 ft; due W 40.01 ft; due S 30 ft", Start: at("0 ft,-100 ft")}))
	level.Id = "level"
	request := jobOf(hill, level)
	l, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	m, err := wattlev1.NewTakeoffServiceClient(conn).ComputeTakeoff(t.Context(), &wattlev1.ComputeTakeoffRequest{Site: request.GetSite(), Spec: request.GetSpec()})
	if err != nil {
		t.Fatal(err)
	}
	for name, closures := range map[string][]*wattlev1.Closure{"layout": l.GetClosures(), "take-off": m.GetClosures()} {
		if len(closures) != 2 {
			t.Errorf("%s: %v", name, closures)
			continue
		}
		up, flat := closures[0], closures[1]
		if up.GetRun() != "r" || !up.GetBalanced() || up.GetUp().GetPrinted() != "-6 in" || up.GetMisclosure().GetNanometres() == 0 {
			t.Errorf("%s of the hill: %v", name, up)
		}
		if flat.GetRun() != "level" || flat.GetBalanced() || flat.GetUp() != nil || flat.GetPrecision() != 14_001 {
			t.Errorf("%s of the level: %v", name, flat)
		}
	}
}

func TestBadForms(t *testing.T) {
	conn, _ := serve(t, &estimating.Service{}, Config{})
	level := run(at("0 ft,0 ft"), at("24 ft,0 ft"))
	with := func(change func(*wattlev1.Run)) *wattlev1.Run {
		r := run(level.GetVertices()...)
		change(r)
		return r
	}
	ground := func(points ...string) []*wattlev1.GroundPoint {
		var all []*wattlev1.GroundPoint
		for _, p := range points {
			station, elevation, _ := strings.Cut(p, ",")
			all = append(all, &wattlev1.GroundPoint{Station: station, Elevation: elevation})
		}
		return all
	}
	leg := func(bearing, distance string) *wattlev1.Traverse_Leg {
		return &wattlev1.Traverse_Leg{Bearing: bearing, Distance: distance}
	}
	for _, c := range []struct {
		name    string
		run     *wattlev1.Run
		geojson string
		want    []string // the start of each violation, in order
	}{
		{"the ground ends outside the run", with(func(r *wattlev1.Run) { r.Ground = ground("0 ft,0 ft", "25 ft,1 ft") }), "",
			[]string{"site.runs[0].ground[1].station: 25 ft lies past the end of the run at 24 ft"}},
		{"stations out of order", with(func(r *wattlev1.Run) { r.Ground = ground("9 ft,0 ft", "3 ft,1 ft") }), "",
			[]string{"site.runs[0].ground[1].station: stations out of order"}},
		{"ground twice", with(func(r *wattlev1.Run) {
			r.Vertices = []*wattlev1.Vertex{at("0 ft,0 ft,0 ft"), at("24 ft,0 ft,1 ft")}
			r.Ground = ground("0 ft,0 ft")
		}), "", []string{"site.runs[0].ground: expected the ground at stations or elevations at the vertices, found both"}},
		{"elevations at some", run(at("0 ft,0 ft"), at("24 ft,0 ft,1 ft"), at("24 ft,9 ft")), "",
			[]string{"site.runs[0].vertices[0].elevation: expected an elevation here", "site.runs[0].vertices[2].elevation: expected"}},
		{"too steep between vertices", run(at("0 ft,0 ft,0 ft"), at("24 ft,0 ft,25 ft")), "",
			[]string{"site.runs[0].vertices[1].elevation: 25 ft over the 24 ft from 0 in is a grade"}},
		{"NaN", run(at("NaN,0 ft"), at("24 ft,Inf,-nan ft")), "",
			[]string{`site.runs[0].vertices[0].east: "NaN" is not a length`, `site.runs[0].vertices[1].north: "Inf" is not a length`,
				"site.runs[0].vertices[0].elevation: expected", `site.runs[0].vertices[1].elevation: "-nan ft" is not a length`}},

		{"vertices and a traverse", with(func(r *wattlev1.Run) { r.Traverse = &wattlev1.Traverse{Text: "E 9 ft"} }), "",
			[]string{"site.runs[0].traverse: expected either vertices or a traverse, found both"}},
		{"95 minutes", survey(&wattlev1.Traverse{Legs: []*wattlev1.Traverse_Leg{leg("due E", "20 ft"), leg("N 45-95 E", "20 ft")}}), "",
			[]string{`site.runs[0].traverse.legs[1].bearing: "N 45-95 E" is not a bearing: 95 minutes`}},
		{"95 minutes in text", survey(&wattlev1.Traverse{Text: "due E 20 ft\nN 45-95 E 20 ft\nE 20"}), "",
			[]string{`site.runs[0].traverse.text: line 2: "N 45-95 E 20 ft" is not a bearing`, `site.runs[0].traverse.text: line 3 ("E 20"): "20" is not a length`}},
		{"a slope that is none", survey(&wattlev1.Traverse{Legs: []*wattlev1.Traverse_Leg{{Bearing: "E", Distance: "9 ft", Percent: "NaN"}}}), "",
			[]string{`site.runs[0].traverse.legs[0].percent: "NaN" is not a slope`}},
		{"a unit that is none", survey(&wattlev1.Traverse{Legs: []*wattlev1.Traverse_Leg{leg("due E", "20 ft"), leg("due N", "600 km")}}), "",
			[]string{`site.runs[0].traverse.legs[1].distance: "600 km" is not a length`}},
		{"no legs in a text", survey(&wattlev1.Traverse{Text: "# to come"}), "",
			[]string{"site.runs[0].traverse.text: there are no legs"}},
		{"rules of closing where nothing closes", survey(&wattlev1.Traverse{Text: "due E 20 ft", Balance: true, LeastPrecision: 5000}), "",
			[]string{"site.runs[0].traverse.balance: only a traverse that closes", "site.runs[0].traverse.least_precision: only a traverse that closes"}},
		{"no length, and a slope that is none", survey(&wattlev1.Traverse{Legs: []*wattlev1.Traverse_Leg{{Bearing: "E", Distance: "0 ft", Percent: "x"}, {Bearing: "E", Distance: "9 ft", Percent: "1", Rise: "1 in"}}}), "",
			[]string{"site.runs[0].traverse.legs[0].distance: 0 in; expected more", `site.runs[0].traverse.legs[0].percent: "x" is not a slope`, "site.runs[0].traverse.legs[1].percent: both rise and percent"}},
		{"a gap to no wall", with(func(r *wattlev1.Run) {
			r.Start, r.End = &wattlev1.Terminus{WallGap: "3 in"}, &wattlev1.Terminus{WallGap: "3 in", LinePostOf: "x"}
		}), "", []string{"site.runs[0].start.wall_gap: needs tie_in", "site.runs[0].end.wall_gap: needs tie_in"}},
		{"closes badly", closed(survey(&wattlev1.Traverse{Text: "due E 40 ft; due N 30 ft; due W 40 ft; due S 29 ft"})), "",
			[]string{"site.runs[0].traverse.closes: the traverse misses its closing point by 1 ft"}},
		{"a gap of 1/64 in at the end of a loop", closed(run(at("0 ft,0 ft"), at("24 ft,0 ft"), at("24 ft,24 ft"), at("0 ft,1/64 in"))), "",
			[]string{"site.runs[0].vertices[3]: stands 1/64 in from the first vertex"}},

		{"an arc too tight", run(at("0 ft,0 ft"), bend("24 ft,0 ft", "11 ft")), "",
			[]string{"site.runs[0].vertices[1].arc: a radius of 11 ft is less than half of the 24 ft between the ends"}},
		{"an arc before the start", run(bend("0 ft,0 ft", "50 ft"), at("24 ft,0 ft")), "",
			[]string{"site.runs[0].vertices[0].arc: an open run has no side before its first vertex"}},

		{"latitude over 90", level, `{"type":"LineString","coordinates":[[-93,42],[-93,95]]}`, []string{"site.geojson.coordinates[1]"}},
		{"a hole", level, `{"type":"Polygon","coordinates":[[[0,0],[0.001,0],[0.001,0.001],[0,0]],[[0,0],[0.0001,0],[0.0001,0.0001],[0,0]]]}`, []string{"site.geojson.coordinates"}},
		{"no JSON", level, `{"type":NaN}`, []string{"site.geojson: "}},
		{"two runs of one id", with(func(r *wattlev1.Run) { r.Id = "lane" }), lane, []string{`site.geojson: run "lane", id: "lane" is also the id of runs[0]`}},
	} {
		request := jobOf(c.run)
		request.Site.Geojson = c.geojson
		st := refused(t, conn, request)
		got := describe(st)
		ok := st.Code() == codes.InvalidArgument && len(got) == len(c.want)
		for i := range min(len(got), len(c.want)) {
			ok = ok && strings.HasPrefix(got[i], c.want[i])
		}
		if !ok {
			t.Errorf("%s: %v, got\n%s\nwant, in this order, the starts\n%s", c.name, st.Code(), strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

func wrongAt(field string) error {
	v := &fault.List{}
	v.Add(field, "wrong")
	return v.Err()
}

// What the site or the layout finds wrong at a place that the request gave in
// another form is told where the request has it.
func TestLaterFaultsAreToldInTheRequestsWords(t *testing.T) {
	for _, c := range []struct {
		name, field string
		run         *wattlev1.Run
		want        string
	}{
		{"a leg", "vertices[2]", survey(&wattlev1.Traverse{Legs: []*wattlev1.Traverse_Leg{{Bearing: "due E", Distance: "20 ft"}, {Bearing: "due N", Distance: "20 ft"}}}), "site.runs[0].traverse.legs[1]: wrong"},
		{"a leg in text", "vertices[1]", survey(&wattlev1.Traverse{Text: "due E 20 ft"}), "site.runs[0].traverse.text: leg 1: wrong"},
		{"the start", "vertices[0].east", survey(&wattlev1.Traverse{Text: "due E 20 ft"}), "site.runs[0].traverse.start: wrong"},
		{"all of a traverse", "vertices", survey(&wattlev1.Traverse{Text: "due E 20 ft"}), "site.runs[0].traverse: wrong"},
		{"an arc", "vertices[2]", run(at("-8 ft,0 ft"), bend("8 ft,0 ft", "8 ft")), "site.runs[0].vertices[1].arc: wrong"},
		{"an arc's chord", "chords[1]", run(at("-8 ft,0 ft"), bend("8 ft,0 ft", "8 ft")), "site.runs[0].vertices[1].arc: wrong"},
		{"a vertex behind an arc", "vertices[3]", run(at("-8 ft,0 ft"), bend("8 ft,0 ft", "8 ft")), "site.runs[0].vertices[1]: wrong"},
		{"an elevation behind an arc", "ground[1].elevation", run(at("-8 ft,0 ft,0 ft"), bend("8 ft,0 ft,1 ft", "8 ft")), "site.runs[0].vertices[1].elevation: wrong"},
		{"a gate stays where it is", "gates[0].width", survey(&wattlev1.Traverse{Text: "due E 20 ft"}), "site.runs[0].gates[0].width: wrong"},
	} {
		j, err := JobFromProto(jobOf(c.run))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		err = j.Explain(wrongAt("site.runs[0]." + c.field))
		if err == nil || !strings.HasSuffix(err.Error(), "\n  "+c.want) {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
	request := jobOf()
	request.Site.Geojson = lane
	j, err := JobFromProto(request)
	if err != nil {
		t.Fatal(err)
	}
	for field, want := range map[string]string{
		"site.runs[0].vertices[1]":      `site.geojson: run "lane", vertices[1]: wrong`,
		"site.obstacles[0]":             `site.geojson: keep-out "oak": wrong`,
		"spec.height":                   "spec.height: wrong",
		"site.runs[99999999999999999]":  "site.runs[99999999999999999]: wrong",
		"site.runs[7].vertices[1].east": "site.runs[7].vertices[1].east: wrong",
	} {
		if err := j.Explain(wrongAt(field)); !strings.HasSuffix(err.Error(), "\n  "+want) {
			t.Errorf("%s: %v, want %s", field, err, want)
		}
	}
}
