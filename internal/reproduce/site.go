package main

import (
	"fmt"
	"strings"

	"wattle/internal/arc"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/geojson"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/traverse"
)

const (
	sixteenth  = measure.Inch / 16
	foot       = measure.Foot
	millimeter = measure.Millimetre
)

// site draws a site: how its lines were measured, and what stands along them.
// Some of what is drawn cannot be built, which is an answer too.
func (d *dice) site(version int, f spec.Spec) (site.Site, string, error) {
	how := of(d, "straight", "straight", "corners", "corners", "closed", "junction", "traverse", "arc", "map", "map")
	if version == 1 && how == "arc" {
		how = "corners"
	}
	var s site.Site
	var err error
	switch how {
	case "traverse":
		s, err = d.traverse()
	case "arc":
		s, err = d.arc(f)
	case "map":
		s, err = d.geojson(version)
	case "closed":
		w, h := d.length(30*foot, 120*foot, sixteenth), d.length(20*foot, 90*foot, millimeter)
		s = oneRun(site.Run{Closed: true, Vertices: []measure.Point{{}, {East: w}, {East: w + d.length(0, 9*foot, sixteenth), North: h}, {North: h}}})
	case "junction":
		far, off := d.length(40*foot, 90*foot, sixteenth), d.length(12*foot, 40*foot, sixteenth)
		s = site.Site{Runs: []site.Run{
			{ID: "west", Vertices: []measure.Point{{East: -far}, {}}},
			{ID: "run", Vertices: []measure.Point{{}, {East: far}}},
			{ID: "branch", Vertices: []measure.Point{{}, {North: off}}},
		}}
		s.Runs[0], s.Runs[1] = s.Runs[1], s.Runs[0]
	default:
		s = oneRun(site.Run{Vertices: d.vertices(how == "corners")})
	}
	if err != nil {
		return site.Site{}, how, err
	}
	if how != "map" {
		s.Runs[0].Face = of(d, site.Left, site.Right)
		d.gates(&s.Runs[0], version)
	}
	if version > 1 {
		d.along(&s)
	}
	if version > 2 && d.one(2) {
		s.Conditions = d.conditions()
	}
	return s, how, nil
}

func oneRun(r site.Run) site.Site {
	r.ID = "run"
	return site.Site{Runs: []site.Run{r}}
}

// vertices of one straight, or of sides that turn by right angles and others.
func (d *dice) vertices(corners bool) []measure.Point {
	grain := of(d, sixteenth, millimeter, foot, measure.Length(1))
	at := measure.Point{East: d.length(20*foot, of(d, 160*foot, 160*foot, 160*foot, 900*foot), grain)}
	points := []measure.Point{{}, at}
	for range d.below(3) * btoi(corners) {
		at.East += d.length(-20*foot, 20*foot, grain)
		at.North += d.length(15*foot, 70*foot, grain)
		points = append(points, at)
	}
	if corners && d.one(2) {
		points = append(points, measure.Point{East: at.East - d.length(20*foot, 60*foot, grain), North: at.North + d.length(0, 30*foot, grain)})
	}
	return points
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// traverse draws bearings and distances, some of them along a slope, and runs
// them.
func (d *dice) traverse() (site.Site, error) {
	var legs []string
	bearing := d.below(90)
	for range d.between(1, 4) {
		leg := fmt.Sprintf("Az %d-%02d-%02d %d.%02d %s", bearing, d.below(60), d.below(60), d.between(20, 120), d.below(100), of(d, "ft", "ft", "m"))
		if d.one(3) {
			leg += fmt.Sprintf(" slope %d.%d %%", d.between(-12, 12), d.below(10))
		}
		legs = append(legs, leg)
		bearing = (bearing + d.between(20, 110)) % 360
	}
	v := &fault.List{}
	run, ok := traverse.Run(v, traverse.Input{Text: strings.Join(legs, "\n")})
	if !ok {
		return site.Site{}, v.Err()
	}
	return oneRun(site.Run{Vertices: run.Vertices}), nil
}

// arc draws a straight, a curve laid as chords by the spec's table, and another
// straight.
func (d *dice) arc(f spec.Spec) (site.Site, error) {
	lead := d.length(8*foot, 60*foot, sixteenth)
	from := measure.Point{East: lead}
	to := measure.Point{East: lead + d.length(10*foot, 60*foot, sixteenth), North: d.length(5*foot, 50*foot, sixteenth)}
	curve := arc.Curve{From: from, To: to, Radius: d.length(40*foot, 400*foot, sixteenth), Left: true}
	chords, err := arc.Chords(curve, arc.Spacing(f.Curves, curve.Radius))
	if err != nil {
		return site.Site{}, err
	}
	r := site.Run{Vertices: []measure.Point{{}, from}}
	for _, p := range chords {
		r.Chords = append(r.Chords, len(r.Vertices))
		r.Vertices = append(r.Vertices, p)
	}
	r.Vertices = append(r.Vertices, to)
	if d.one(2) {
		r.Vertices = append(r.Vertices, measure.Point{East: to.East, North: to.North + d.length(10*foot, 60*foot, sixteenth)})
	}
	return oneRun(r), nil
}

// geojson draws a line in degrees, anywhere that people fence, with a gate on it
// at times, and has it projected.
func (d *dice) geojson(version int) (site.Site, error) {
	lon, lat := d.between(-179_0000000, 179_0000000), d.between(-60_0000000, 70_0000000)
	degrees := func(n int) string {
		sign := ""
		if n < 0 {
			sign, n = "-", -n
		}
		return fmt.Sprintf("%s%d.%07d", sign, n/1_0000000, n%1_0000000)
	}
	elevated, height := version > 1 && d.one(3), d.between(0, 900)
	position := func() string {
		if !elevated {
			return "[" + degrees(lon) + "," + degrees(lat) + "]"
		}
		height += d.between(-15, 15)
		return fmt.Sprintf("[%s,%s,%d.%d]", degrees(lon), degrees(lat), height/10, max(height, 0)%10)
	}
	points := []string{position()}
	first := [2]int{lon, lat}
	for range d.between(1, 4) {
		lon += d.between(500, 4000)
		lat += d.between(-2500, 2500)
		points = append(points, position())
		if len(points) == 2 {
			first = [2]int{(first[0] + lon) / 2, (first[1] + lat) / 2}
		}
	}
	features := []string{`{"type":"Feature","properties":{"id":"run","face":"` + of(d, "left", "right") + `"},"geometry":{"type":"LineString","coordinates":[` + strings.Join(points, ",") + `]}}`}
	if d.one(3) {
		features = append(features, fmt.Sprintf(`{"type":"Feature","properties":{"kind":"gate","id":"walk","width":"%d in"},"geometry":{"type":"Point","coordinates":[%s,%s]}}`,
			d.between(36, 60), degrees(first[0]), degrees(first[1])))
	}
	if version > 1 && d.one(4) {
		features = append(features, fmt.Sprintf(`{"type":"Feature","properties":{"kind":"keep-out","clearance":"%d in"},"geometry":{"type":"Point","coordinates":[%s,%s]}}`,
			d.between(6, 36), degrees(first[0]+d.between(-300, 900)), degrees(first[1]+d.between(-200, 200))))
	}
	v := &fault.List{}
	s, _ := geojson.Parse(v, []byte(`{"type":"FeatureCollection","features":[`+strings.Join(features, ",")+`]}`), geojson.Options{})
	return s, v.Err()
}

// gates draws openings on the first leg of a run.
func (d *dice) gates(r *site.Run, version int) {
	leg := r.Vertices[1].East // the first vertex of those that are drawn is 0, 0
	if d.one(2) {
		g := site.Gate{ID: "walk", Station: d.length(4*foot, max(5*foot, leg/3), sixteenth), Width: d.length(3*foot, 5*foot, sixteenth), Leaves: 1,
			Hinge: of(d, site.HingeStart, site.HingeFinish), Swing: of(d, site.Left, site.Right)}
		r.Gates = append(r.Gates, g)
	}
	if leg > 60*foot && d.one(2) {
		g := site.Gate{ID: "drive", Station: leg/2 + d.length(0, 5*foot, sixteenth), Width: d.length(8*foot, 14*foot, sixteenth), Leaves: 2}
		if version > 2 && d.one(3) {
			g.Slides, g.Leaves = true, 1
		}
		r.Gates = append(r.Gates, g)
	}
}

// along draws ground, keep-outs, pins and neighbours of the first run.
func (d *dice) along(s *site.Site) {
	r := &s.Runs[0]
	if len(r.Ground) == 0 && d.one(2) && !r.Closed {
		station := measure.Length(0)
		for range d.between(2, 6) {
			if station > r.Length() {
				break
			}
			r.Ground = append(r.Ground, site.GroundPoint{Station: station, Elevation: d.length(-3*foot, 3*foot, of(d, sixteenth, millimeter))})
			station += d.length(12*foot, 30*foot, sixteenth)
		}
		if d.one(3) {
			r.Slopes = append(r.Slopes, site.SlopePart{From: 0, To: d.length(8*foot, 20*foot, sixteenth), Stepped: true})
		}
	}
	if d.one(3) {
		from := d.length(6*foot, 30*foot, sixteenth)
		r.KeepOuts = append(r.KeepOuts, site.KeepOut{ID: "gas", From: from, To: from + d.length(6*measure.Inch, 3*foot, sixteenth)})
	}
	if d.one(6) {
		r.Pins = append(r.Pins, site.Pin{Station: d.length(2*foot, 40*foot, sixteenth), Existing: d.one(2)})
	}
	if d.one(8) {
		r.Neighbours = append(r.Neighbours, site.Neighbour{From: 0, To: 10 * foot, Side: of(d, site.Left, site.Right), Gap: d.length(0, 3*foot, sixteenth)})
	}
	if d.one(6) {
		east := d.length(5*foot, 40*foot, sixteenth)
		s.Obstacles = append(s.Obstacles, site.Obstacle{ID: "tree", Path: []measure.Point{{East: east, North: -2 * foot}, {East: east + d.length(0, 4*foot, sixteenth), North: 9 * foot}}, Clearance: d.length(0, 2*foot, sixteenth)})
	}
	if !r.Closed && len(s.Runs) == 1 && d.one(3) {
		r.Start.TieIn = true
		r.Start.WallGap = of(d, 0, measure.Inch)
	}
}

// conditions draws what checks, labour and removal ask about.
func (d *dice) conditions() site.Conditions {
	c := site.Conditions{
		SoilClass: d.below(6), Unsuitable: d.one(12),
		Digging: of(d, "", "rocky", "clay"), Access: of(d, "", "narrow"), Season: of(d, "", "winter"),
	}
	if d.one(2) {
		c.Wind = site.Wind{Speed: d.between(90, 160), Exposure: of(d, "B", "C", "D")}
	}
	if d.one(3) {
		c.TearOut = []site.OldFence{{Length: d.length(10*foot, 90*foot, sixteenth), Height: 4 * foot, Footings: d.below(12),
			PoundsPerFoot: d.decimal(20, 90, 1), CubicFeetPerFoot: d.decimal(2, 20, 1), FootingPounds: d.decimal(50, 120, 0), FootingCubicFeet: d.decimal(25, 99, 2)}}
	}
	if d.one(4) {
		c.Pool = &site.Pool{BottomGap: new(d.length(0, 5*measure.Inch, sixteenth)), SelfClosing: new(d.one(2))}
	}
	if d.one(4) {
		c.Yard = site.Yard{Name: of(d, "front", "side", "rear"), MaxHeight: 6 * foot, PermitOver: 7 * foot}
	}
	if d.one(4) {
		c.Notice = &site.Notice{Rule: of(d, site.NoticeRules()...), Given: civil.Must("2026-03-02").AddDays(d.below(60)), Hour: new(d.below(24))}
	}
	return c
}
