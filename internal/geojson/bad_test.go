package geojson

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/site"
)

// Each text has all the faults listed, by path and a part of what is said, and
// no other.
func TestParseRefuses(t *testing.T) {
	line := func(coordinates string) string {
		return `{"type": "LineString", "coordinates": ` + coordinates + `}`
	}
	polygon := func(rings string) string { return `{"type": "Polygon", "coordinates": ` + rings + `}` }
	eastward := featureText("LineString", "[[0,0],[0.001,0]]", "")
	on := "[0.0005,0]"
	point := func(properties string) string { return collection(eastward, featureText("Point", on, properties)) }
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"nothing", "", []string{`: not JSON at line 1, column 1 (byte 0): unexpected end`}},
		{"an array", "[]", []string{`: expected an object, found an array`}},
		{"NaN", "{\"type\": \"LineString\",\n \"coordinates\": [[0,NaN],[0,1]]}", []string{`: not JSON at line 2, column 21 (byte 43): invalid character 'N' looking for beginning of value; JSON has no NaN and no Infinity`}},
		{"minus infinity", line("[[0,-Infinity],[0,1]]"), []string{"; JSON has no NaN and no Infinity"}},
		{"a number past any float", line("[[0,0],[0,1e400]]"), []string{"coordinates[1][1]: expected a number, found 1e400"}},
		{"two texts", line("[[0,0],[0,1]]") + "{}", []string{": not JSON at line 1"}},
		{"not UTF-8", "{\"type\": \"\xff\"}", []string{": expected UTF-8 text; byte 10 is not"}},
		{"a name twice", `{"type": "LineString", "coordinates": [], "coordinates": [[0,0],[0,1]]}`, []string{`: "coordinates" is there twice`}},
		{"no type", `{"coordinates": [[0,0],[0,1]]}`, []string{"type: expected FeatureCollection, Feature or a geometry such as LineString, found nothing"}},
		{"another type", `{"type": "Topology"}`, []string{`type: expected FeatureCollection, Feature or a geometry such as LineString, found "Topology"`}},

		{"coordinates swapped", line("[[41,-73],[41,-173.5]]"), []string{"coordinates[1][1]: a latitude of -173.5 is not between -90 and 90; longitude comes first, then latitude: are they swapped?"}},
		{"past the pole and the date line", line("[[-180.5,0],[10,90.5],[500,-200]]"), []string{
			"coordinates[0][0]: expected a longitude between -180 and 180 degrees, found -180.5",
			"coordinates[1][1]: a latitude of 90.5 is not between -90 and 90; longitude comes first",
			"coordinates[2][0]: expected a longitude between -180 and 180 degrees, found 500",
			"coordinates[2][1]: expected a latitude between -90 and 90 degrees, found -200; longitude comes first"}},
		{"positions that are none", line(`[[0],[0,1,2,3],"x",[null,"5"],5]`), []string{
			"coordinates[0]: expected longitude, latitude and perhaps elevation, found 1 number(s)",
			"coordinates[1]: expected longitude, latitude and perhaps elevation, found 4 number(s)",
			`coordinates[2]: expected an array of longitude, latitude and perhaps elevation, found "x"`,
			"coordinates[3][0]: expected a number, found null",
			`coordinates[3][1]: expected a number, found "5"`,
			"coordinates[4]: expected an array of longitude"}},
		{"no coordinates", `{"type": "LineString"}`, []string{"coordinates: expected an array of positions, found nothing"}},
		{"no position", line("[]"), []string{"coordinates: expected at least 2 positions, found 0"}},
		{"one position", line("[[0,0]]"), []string{"coordinates: expected at least 2 positions, found 1"}},
		{"no lines", `{"type": "MultiLineString", "coordinates": []}`, []string{"coordinates: expected at least one line"}},
		{"a line of one position among others", `{"type": "MultiLineString", "coordinates": [[[0,0],[0,1]],[[0,0]],3]}`, []string{
			"coordinates[1]: expected at least 2 positions, found 1", "coordinates[2]: expected an array of positions, found 3"}},
		{"elevations here and there", line("[[0,0,1],[0,0.001],[0,0.002,1]]"), []string{"coordinates: 2 of 3 positions have an elevation; expected it at all of them or at none"}},
		{"an elevation that is a blank", line("[[0,0,1],[0,0.001,-9999]]"), []string{"coordinates[1][2]: expected an elevation between -9000 and 9000 metres, found -9999"}},
		{"the same place twice", line("[[0,0],[0,0.001],[0,0.001],[0,0.0010000001]]"), []string{
			"coordinates[2]: the same place as the position before it", "coordinates[3]: the same place as the position before it"}},

		{"a ring not closed", polygon("[[[0,0],[0.001,0],[0.001,0.001],[0,0.0001]]]"), []string{"coordinates[0]: the ring is not closed"}},
		{"a ring closed at another elevation", polygon("[[[0,0,1],[0.001,0,1],[0.001,0.001,1],[0,0,2]]]"), []string{"coordinates[0]: the ring is not closed: the last position must repeat the first, elevation included"}},
		{"a ring of three", polygon("[[[0,0],[0.001,0],[0,0]]]"), []string{"coordinates[0]: expected at least 4 positions in a ring, the last like the first; found 3"}},
		{"a ring that comes back twice", polygon("[[[0,0],[0.001,0],[0.001,0.001],[0,0],[0,0]]]"), []string{"coordinates[0][3]: the same place as the first position"}},
		{"a hole", polygon("[[[0,0],[0.001,0],[0.001,0.001],[0,0]],[[0,0],[0.0005,0],[0.0005,0.0005],[0,0]]]"), []string{
			"coordinates: expected one ring, found 2: a polygon with holes is no run; draw each hole as a polygon of its own"}},
		{"no ring", polygon("[]"), []string{"coordinates: expected a ring"}},

		{"no feature", collection(), []string{"features: expected at least one feature"}},
		{"no features", `{"type": "FeatureCollection"}`, []string{"features: expected an array of features, found nothing"}},
		{"features that are none", collection("3", `{"type": "LineString"}`, "null"), []string{
			"features[0]: expected an object, found 3", `features[1].type: expected "Feature", found "LineString"`, "features[2]: expected an object, found null"}},
		{"a feature that is nowhere", collection(eastward, `{"type": "Feature", "geometry": null, "properties": {"kind": "gate", "width": "4 ft"}}`), []string{"features[1].geometry: expected an object, found null"}},
		{"properties that are none", `{"type": "Feature", "geometry": {"type": "LineString", "coordinates": [[0,0],[0,0.001]]}, "properties": []}`, []string{"properties: expected an object, found an array"}},
		{"no run", collection(featureText("Point", on, `"kind": "keep-out", "clearance": "1 ft"`)), []string{": expected at least one run"}},
		{"shapes not read", collection(featureText("MultiPolygon", "[]", ""), featureText("GeometryCollection", "[]", ""), featureText("MultiPoint", "[]", `"kind": "pin"`), featureText("Circle", "[]", "")), []string{
			`features[0].geometry.type: a geometry of type "MultiPolygon" is not read; give each polygon a feature of its own`,
			`features[1].geometry.type: a geometry of type "GeometryCollection" is not read; give each geometry`,
			`features[2].geometry.type: a geometry of type "MultiPoint" is not read; give each point`,
			`features[3].geometry.type: a geometry of type "Circle" is not read; expected Point, LineString`}},
		{"another system", collection(`{"type": "Feature", "crs": {"type": "name", "properties": {"name": "EPSG:2263"}}, "geometry": {"type": "LineString", "crs": null, "coordinates": [[0,0],[0,0.001]]}}`), []string{
			`features[0].crs: expected WGS 84 longitude and latitude (urn:ogc:def:crs:OGC:1.3:CRS84, or no crs at all), found "EPSG:2263"`,
			`features[0].geometry.crs: expected WGS 84`}},

		{"a bare Point", `{"type": "Point", "coordinates": [0,0]}`, []string{"kind: expected gate, keep-out or pin: a Point does not say by itself what it is"}},
		{"kinds unknown or of another shape", collection(
			featureText("Point", on, `"kind": "run"`), featureText("LineString", "[[0,0],[0,1]]", `"kind": "gate", "width": "4 ft"`),
			featureText("Polygon", "[[[0,0],[0.001,0],[0.001,0.001],[0,0]]]", `"kind": "keep-out", "clearance": "1 ft"`), featureText("Point", on, `"kind": "tree"`), featureText("Point", on, `"kind": 3`)), []string{
			"features[0].properties.kind: a run cannot be a Point; expected a LineString or MultiLineString or Polygon",
			"features[1].properties.kind: a gate cannot be a LineString; expected a Point",
			"features[2].properties.kind: a keep-out cannot be a Polygon; expected a Point or LineString",
			`features[3].properties.kind: expected run, gate, keep-out or pin, found "tree"`,
			"features[4].properties.kind: expected run, gate, keep-out or pin, found 3"}},
		{"a gate all wrong", point(`"kind": "gate", "width": 4, "leaves": 3, "hinge": "left", "swing": true, "run": 5, "Run": "x", "clearance": "1 ft"`), []string{
			"features[1].properties.Run: expected it to be spelled run",
			"features[1].properties.clearance: belongs to a keep-out; this is a gate",
			"features[1].properties.run: expected text, found 5",
			`features[1].properties.width: expected text with a unit, such as "4 ft" or "1.2 m", found 4`,
			"features[1].properties.leaves: expected 1 (single) or 2 (a pair), found 3",
			`features[1].properties.hinge: expected start or finish, found "left"`,
			"features[1].properties.swing: expected left or right, found true"}},
		{"gates that slide", collection(eastward,
			featureText("Point", on, `"kind": "gate", "width": "4 ft", "leaves": 2, "slides": true`), featureText("Point", on, `"kind": "gate", "width": "4 ft", "slides": "left"`),
			featureText("Point", on, `"kind": "gate", "width": "4 ft", "Slides": true`), featureText("Point", on, `"kind": "pin", "slides": true`)), []string{
			"features[1].properties.leaves: a gate that slides has one leaf, found 2",
			`features[2].properties.slides: expected true or false, found "left"`,
			"features[3].properties.Slides: expected it to be spelled slides",
			"features[4].properties.slides: belongs to a gate; this is a pin"}},
		{"lengths that are missing or not lengths", collection(eastward, featureText("Point", on, `"kind": "gate"`), featureText("Point", on, `"kind": "gate", "width": "4"`), featureText("Point", on, `"kind": "keep-out"`)), []string{
			"features[1].properties.width: expected the clear opening",
			`features[2].properties.width: "4" is not a length: it needs a unit`,
			"features[3].properties.clearance: expected how far holes keep away"}},
		{"a run all wrong", featureText("LineString", "[[0,0],[0,0.001]]", `"face": "north", "start_tie_in": "yes", "end_wall_gap": "1 in", "existing": true, "startTieIn": true`), []string{
			"properties.existing: belongs to a pin; this is a run",
			"properties.startTieIn: expected it to be spelled start_tie_in",
			`properties.face: expected left or right, found "north"`,
			`properties.start_tie_in: expected true or false, found "yes"`,
			"properties.end_wall_gap: only a tied-in end has a gap to the wall; expected end_tie_in: true beside it"}},
		{"a keep-out that would be taken for a run", collection(eastward, featureText("LineString", "[[0,0],[0,0.001]]", `"Kind": "keep-out"`)), []string{"features[1].properties.Kind: expected it to be spelled kind"}},
		{"tie-ins without one end", collection(featureText("Polygon", "[[[0,0],[0.001,0],[0.001,0.001],[0,0]]]", `"start_tie_in": true`), featureText("MultiLineString", "[[[0,0],[0,0.001]],[[0,0],[0.001,0]]]", `"end_tie_in": true`)), []string{
			"features[0].properties.start_tie_in: a closed run has no ends to tie in", "features[1].properties.end_tie_in: several lines have several ends"}},
		{"ids", collection(featureText("LineString", "[[0,0],[0.001,0]]", `"id": "a"`), featureText("LineString", "[[0,0],[0,0.001]]", `"id": "a"`), featureText("LineString", "[[0,0],[0,0.001]]", `"id": "run-4"`),
			featureText("LineString", "[[0,0],[0,0.001]]", ""), featureText("Point", on, `"kind": "gate", "id": "a", "width": "4 ft"`),
			featureText("LineString", "[[0,0],[0,0.001]]", `"id": true`), featureText("LineString", "[[0,0],[0,0.001]]", `"id": " "`), featureText("LineString", "[[0,0],[0,0.001]]", `"id": "a\u0007"`), featureText("MultiLineString", "[[[0,0],[0,0.001]]]", `"id": "`+strings.Repeat("x", 63)+`"`)), []string{
			"features[5].properties.id: expected text or a number, found true",
			"features[6].properties.id: expected text or a number, found nothing but space",
			`features[7].properties.id: expected at most 64 characters, none of them a control character, found "a\a"`,
			`features[1].properties.id: an earlier run is called "a" already`,
			`features[3].properties.id: an earlier run is called "run-4" already`,
			`features[8].properties.id: "xxx`}},
		{"an unknown run", point(`"kind": "gate", "width": "4 ft", "run": "fence"`), []string{`features[1].properties.run: no run is called "fence"; the runs are "run-1"`}},
		{"a gate and a pin away from their run", collection(eastward, featureText("Point", "[0.0005,0.00002]", `"kind": "gate", "width": "4 ft"`), featureText("Point", "[0.00102,0]", `"kind": "pin"`)), []string{
			`features[1].geometry.coordinates: this gate is 7 ft 3-1/16 in (2.212 m) off run "run-1"; expected it within 2.000 m`,
			`features[2].geometry.coordinates: this pin is 7 ft 3-5/8 in (2.226 m) off run "run-1"; expected it within 2.000 m`}},
		{"wider than a site", collection(eastward, featureText("LineString", "[[0,0],[0.25,0],[0.28,0],[180,0]]", ""), featureText("Point", "[0,1]", `"kind": "keep-out", "clearance": "1 ft"`)), []string{
			"features[1].geometry.coordinates[2]: more than 30 km from the origin at longitude 0, latitude 0", "features[1].geometry.coordinates[3]: more than 30 km", "features[2].geometry.coordinates: more than 30 km"}},
	} {
		v := &fault.List{}
		s, _ := Parse(v, []byte(c.text), Options{})
		check(t, c.name, v, s, c.want)
	}
}

// check compares what was noted with what was wanted.
func check(t *testing.T, name string, v *fault.List, s site.Site, want []string) {
	t.Helper()
	var got []string
	if e, ok := errors.AsType[*fault.Error](v.Err()); ok {
		for _, violation := range e.Violations {
			got = append(got, violation.Field+": "+violation.Description)
		}
	}
	same := len(got) == len(want)
	for i := 0; same && i < len(got); i++ {
		same = strings.HasPrefix(got[i], want[i]) || strings.HasPrefix(want[i], ";") && strings.HasSuffix(got[i], want[i])
	}
	if !same || len(s.Runs) > 0 {
		t.Errorf("%s: runs %v, and\n  %s\nwant\n  %s", name, s.Runs, strings.Join(got, "\n  "), strings.Join(want, "\n  "))
	}
}

func TestParseRefusesAnOriginThatIsNowhere(t *testing.T) {
	for _, c := range []struct {
		origin LonLat
		want   []string
	}{
		{LonLat{math.NaN(), math.Inf(1)}, []string{"origin.lon: expected a longitude", "origin.lat: expected a latitude"}},
		{LonLat{41, -100}, []string{"origin.lat: a latitude of -100"}},
		{LonLat{1, 0}, []string{"coordinates[0]: more than 30 km", "coordinates[1]: more than 30 km"}},
	} {
		v := &fault.List{}
		s, _ := Parse(v, []byte(`{"type": "LineString", "coordinates": [[0,0],[0,0.001]]}`), Options{Origin: &c.origin})
		check(t, fmt.Sprint(c.origin), v, s, c.want)
	}
}
