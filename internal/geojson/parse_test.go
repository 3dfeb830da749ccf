package geojson

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// show is a site in a few lines, places to 0.1 mm, the grid of the plane.
func show(s site.Site) string {
	var b strings.Builder
	point := func(p measure.Point) string { return p.East.In(measure.Metre, 4) + " " + p.North.In(measure.Metre, 4) }
	for _, r := range s.Runs {
		fmt.Fprintf(&b, "run %s closed=%t face=%d start=%v end=%v\n", r.ID, r.Closed, r.Face, r.Start, r.End)
		for _, p := range r.Vertices {
			fmt.Fprintf(&b, "  at %s\n", point(p))
		}
		for _, g := range r.Ground {
			fmt.Fprintf(&b, "  ground %s at %s\n", g.Elevation.In(measure.Metre, 4), g.Station.In(measure.Metre, 4))
		}
		for _, g := range r.Gates {
			fmt.Fprintf(&b, "  gate %s %s at %s leaves=%d hinge=%d swing=%d", g.ID, g.Width, g.Station, g.Leaves, g.Hinge, g.Swing)
			if g.Slides {
				b.WriteString(" slides")
			}
			b.WriteString("\n")
		}
		for _, p := range r.Pins {
			fmt.Fprintf(&b, "  pin at %s existing=%t\n", p.Station, p.Existing)
		}
	}
	for _, o := range s.Obstacles {
		fmt.Fprintf(&b, "obstacle %s %s:", o.ID, o.Clearance)
		for _, p := range o.Path {
			fmt.Fprintf(&b, " %s;", point(p))
		}
		b.WriteString("\n")
	}
	return b.String()
}

func collection(features ...string) string {
	return `{"type": "FeatureCollection", "features": [` + strings.Join(features, ",\n") + `]}`
}

// feature writes a Feature: the geometry's type and coordinates, and properties.
func featureText(shape, coordinates, properties string) string {
	return fmt.Sprintf(`{"type": "Feature", "geometry": {"type": %q, "coordinates": %s}, "properties": {%s}}`, shape, coordinates, properties)
}

// On the equator 0.001 degree of longitude is 111.3195 m [a pi/180 000] and 0.001
// degree of latitude 110.5743 m [a (1-e^2) pi/180 000].
func TestParse(t *testing.T) {
	eastward := featureText("LineString", "[[0,0],[0.001,0]]", "")
	for _, c := range []struct{ name, text, want string }{
		{"a bare LineString", `{"type": "LineString", "coordinates": [[0,0],[0.001,0],[0.001,0.001]]}`, `
run run-1 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 111.3195 m 0 m
  at 111.3195 m 110.5743 m`},
		{"a bare Feature; its id may be a number", `{"type": "Feature", "id": 7, "geometry": {"type": "LineString", "coordinates": [[0,0],[0,-0.001]]}, "properties": null}`, `
run 7 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 0 m -110.5743 m`},
		{"a polygon with elevations is a closed run, its ground comes round", featureText("Polygon", "[[[0,0,5],[0.001,0,6.5],[0.001,0.001,-7.25],[0,0,5]]]", `"id": "yard", "face": "right"`), `
run yard closed=true face=1 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 111.3195 m 0 m
  at 111.3195 m 110.5743 m
  ground 5 m at 0 m
  ground 6.5 m at 111.3195 m
  ground -7.25 m at 221.8938 m
  ground 5 m at 378.7973 m`},
		{"each line of a MultiLineString is a run, with ground where it has some", featureText("MultiLineString", "[[[0,0],[0.001,0]],[[0,0.001,2],[0,0.002,3]]]", `"id": "lot"`), `
run lot-1 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 111.3195 m 0 m
run lot-2 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 110.5743 m
  at 0 m 221.1486 m
  ground 2 m at 0 m
  ground 3 m at 110.5743 m`},
		{"across the antimeridian is a short line", `{"type": "LineString", "coordinates": [[179.9999,0],[-179.9999,0]]}`, `
run run-1 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 22.2639 m 0 m`},
		{"tied in at a wall; null is absent and other programs' names are theirs", featureText("LineString", "[[0,0],[0.001,0]]",
			`"start_tie_in": true, "start_wall_gap": "1/2 in", "end_tie_in": false, "width": null, "stroke-width": 3, "ID": 9, "note": {"a": [1]}`), `
run run-1 closed=false face=0 start={true 1/2 in } end={false 0 in }
  at 0 m 0 m
  at 111.3195 m 0 m`},
		// The middle of the opening is 55.6597 m along, 182 ft 7-5/16 in; half of 4 ft before it is 180 ft 7-5/16 in.
		{"a gate is the middle of its opening, on the foot of its point", collection(eastward, featureText("Point", "[0.0005,0.00001]", `"kind": "gate", "width": "4 ft"`)), `
run run-1 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 111.3195 m 0 m
  gate gate-1 4 ft at 180 ft 7-5/16 in leaves=1 hinge=0 swing=0`},
		{"a gate on the run it names, not on the nearer", collection(
			featureText("Point", "[0.0005,0.000001]", `"kind": "gate", "id": "g", "width": "12 ft", "leaves": 2, "hinge": "finish", "swing": "right", "run": "far"`),
			eastward, featureText("LineString", "[[0,0.00001],[0.001,0.00001]]", `"id": "far"`)), `
run run-1 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 111.3195 m 0 m
run far closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 1.1057 m
  at 111.3195 m 1.1057 m
  gate g 12 ft at 176 ft 7-5/16 in leaves=2 hinge=1 swing=1`},
		{"a gate that slides", collection(eastward, featureText("Point", "[0.0005,0]", `"kind": "gate", "width": "4 ft", "slides": true`), featureText("Point", "[0.0002,0]", `"kind": "gate", "width": "4 ft", "leaves": 2, "slides": false`)), `
run run-1 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 111.3195 m 0 m
  gate gate-1 4 ft at 180 ft 7-5/16 in leaves=1 hinge=0 swing=0 slides
  gate gate-2 4 ft at 71 ft 0-9/16 in leaves=2 hinge=0 swing=0`},
		{"a gate between two runs stands on the nearer", collection(eastward, featureText("LineString", "[[0,0.00002],[0.001,0.00002]]", ""),
			featureText("Point", "[0.0005,0.000011]", `"kind": "gate", "width": "4 ft"`)), `
run run-1 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 111.3195 m 0 m
run run-2 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 2.2115 m
  at 111.3195 m 2.2115 m
  gate gate-1 4 ft at 180 ft 7-5/16 in leaves=1 hinge=0 swing=0`},
		{"pins: past an end the end itself, else to 1/16 in", collection(eastward, featureText("Point", "[0.00101,0]", `"kind": "pin", "existing": true`), featureText("Point", "[0.0005,0]", `"kind": "pin"`)), `
run run-1 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 111.3195 m 0 m
  pin at 111319.5 mm existing=true
  pin at 182 ft 7-5/16 in existing=false`},
		{"keep-outs are obstacles", collection(eastward, featureText("Point", "[0.0005,0.00001]", `"kind": "keep-out", "clearance": "3 ft"`),
			featureText("LineString", "[[0.0002,-0.001],[0.0002,0.001]]", `"kind": "keep-out", "id": "gas", "clearance": "600 mm"`)), `
run run-1 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 111.3195 m 0 m
obstacle keep-out-1 3 ft: 55.6597 m 1.1057 m;
obstacle gas 600 mm: 22.2639 m -110.5743 m; 22.2639 m 110.5743 m;`},
		{"a crs that says WGS 84, and a byte order mark", "\ufeff" + strings.Replace(collection(eastward), `"features"`, `"crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}, "features"`, 1), `
run run-1 closed=false face=0 start={false 0 in } end={false 0 in }
  at 0 m 0 m
  at 111.3195 m 0 m`},
	} {
		v := &fault.List{}
		s, origin := Parse(v, []byte(c.text), Options{})
		if err := v.Err(); err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if diff := cmp.Diff(strings.TrimSpace(c.want), strings.TrimSpace(show(s))); diff != "" {
			t.Errorf("%s (want -, got +):\n%s", c.name, diff)
		}
		if s.Validate(v); v.Err() != nil {
			t.Errorf("%s: the site is not sound: %v", c.name, v.Err())
		}
		if len(s.Runs[0].Vertices) > 0 && s.Runs[0].Vertices[0] != (measure.Point{}) {
			t.Errorf("%s: the first run starts at %v, not at the origin %v", c.name, s.Runs[0].Vertices[0], origin)
		}
	}
}

// A given origin is the origin that is answered, and moves the whole site.
func TestParseAboutAGivenOrigin(t *testing.T) {
	v := &fault.List{}
	given := LonLat{Lon: 0.001, Lat: -0.001}
	s, origin := Parse(v, []byte(`{"type": "LineString", "coordinates": [[0,0],[0.001,0]]}`), Options{Origin: &given})
	if err := v.Err(); err != nil || origin != given {
		t.Fatalf("origin %v, %v", origin, err)
	}
	if got := s.Runs[0].Vertices[1]; got.East != 0 || got.North.In(measure.Metre, 3) != "110.574 m" {
		t.Errorf("the second vertex is at %v", got)
	}
	if s, origin := Parse(v, []byte(`{"type": "LineString", "coordinates": [[5,6],[5.001,6]]}`), Options{}); origin != (LonLat{5, 6}) {
		t.Errorf("without one the origin is %v: %v", origin, s)
	}
}

// A map of obstacles only lies beside runs that were measured otherwise, once it
// is told where.
func TestParseWithoutARun(t *testing.T) {
	oak := featureText("Point", "[0.001,0]", `"kind": "keep-out", "id": "oak", "clearance": "1 ft"`)
	v := &fault.List{}
	s, origin := Parse(v, []byte(collection(oak)), Options{Origin: &LonLat{}, Beside: true})
	if got, want := show(s), "obstacle oak 1 ft: 111.3195 m 0 m;\n"; v.Len() > 0 || got != want || origin != (LonLat{}) {
		t.Errorf("%v, origin %v:\n%swant %s", v.Err(), origin, got, want)
	}
	for _, c := range []struct {
		name, text string
		o          Options
		want       []string
	}{
		{"nowhere", collection(oak), Options{Beside: true}, []string{": it has no run to begin at"}},
		{"beside nothing", collection(oak), Options{Origin: &LonLat{}}, []string{": expected at least one run"}},
		{"a gate of no run", collection(oak, featureText("Point", "[0,0]", `"kind": "gate", "width": "4 ft"`)), Options{Origin: &LonLat{}, Beside: true},
			[]string{"features[1].properties: the map has no run for this gate; expected one, or the gate among those of its run"}},
	} {
		v := &fault.List{}
		s, _ := Parse(v, []byte(c.text), c.o)
		check(t, c.name, v, s, c.want)
	}
}
