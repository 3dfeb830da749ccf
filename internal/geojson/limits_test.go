package geojson

import (
	"fmt"
	"strings"
	"testing"

	"wattle/internal/fault"
)

func TestParseLimits(t *testing.T) {
	row := func(n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, ",[0,%.6f]", float64(i)/1e6)
		}
		return "[" + b.String()[1:] + "]"
	}
	line := func(coordinates string) string {
		return `{"type": "LineString", "coordinates": ` + coordinates + `}`
	}
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"10,000 positions", line(row(10_000)), nil},
		{"10,001 positions", line(row(10_001)), []string{"coordinates: more than 10000 positions in all"}},
		{"10,001 in two features", collection(featureText("LineString", row(5000), ""), featureText("LineString", row(5001), ""), "3"), []string{"features[1].geometry.coordinates: more than 10000 positions in all"}},
		{"20,000 empty lines", `{"type": "MultiLineString", "coordinates": [[]` + strings.Repeat(",[]", 19_999) + `]}`, []string{"coordinates: more than 10000 positions in all"}},
		{"10,001 features", collection(strings.Repeat("0,", 10_000) + "0"), []string{"features: expected at most 10000 features, found 10001"}},
		{"2,001 pins", collection(featureText("LineString", row(2), "") + strings.Repeat(","+featureText("Point", "[0,0]", `"kind": "pin"`), 2001)), []string{": expected at most 2000 gates and pins, found 2001"}},
		{"just 1 MiB", line("[[0,0],[0,0.001]]") + strings.Repeat(" ", maxBytes-len(line("[[0,0],[0,0.001]]"))), nil},
		{"a byte more", strings.Repeat(" ", maxBytes+1), []string{": expected at most 1 MiB, found 1048577 bytes"}},
		{"brackets to the end", strings.Repeat("[", maxBytes), []string{": not JSON at line 1"}},
		{"a deep pit", line(strings.Repeat("[", 9000) + strings.Repeat("]", 9000)), []string{"coordinates[0]: expected longitude, latitude and perhaps elevation, found 1 number(s)", "coordinates: expected at least 2 positions, found 1"}},
		{"a deep pit in a property", featureText("LineString", "[[0,0],[0,0.001]]", `"note": `+strings.Repeat("[", 9000)+strings.Repeat("]", 9000)), nil},
	} {
		v := &fault.List{}
		s, _ := Parse(v, []byte(c.text), Options{})
		if c.want == nil {
			if v.Len() > 0 || len(s.Runs) != 1 {
				t.Errorf("%s: %v", c.name, v.Err())
			}
			continue
		}
		check(t, c.name, v, s, c.want)
	}
}

// Whatever the bytes, Parse answers: a site with a run, or what is wrong. The
// same bytes give the same answer, and Validate takes what it gives.
func FuzzParse(f *testing.F) {
	yard := collection(featureText("Polygon", "[[[0,0,5],[0.001,0,6],[0.001,0.001,7],[0,0,5]]]", `"id": "yard"`),
		featureText("MultiLineString", "[[[0,0],[0.001,0]],[[0,0.001],[0,0.002]]]", `"start_tie_in": true`),
		featureText("Point", "[0.0005,0]", `"kind": "gate", "width": "4 ft", "run": "yard"`), featureText("Point", "[0.0005,0]", `"kind": "pin", "existing": true`),
		featureText("LineString", "[[0,0],[1e-3,0.001]]", `"kind": "keep-out", "clearance": "2 ft"`))
	for _, text := range []string{yard, strings.Replace(yard, `"start_tie_in": true`, "", 1), `{"type":"LineString","coordinates":[[179.9999,0],[-179.9999,90]]}`, `{"type":"Point","coordinates":null}`, "{", "\xff", "[[[["} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		v, again := &fault.List{}, &fault.List{}
		s, origin := Parse(v, text, Options{})
		s2, origin2 := Parse(again, text, Options{})
		if v.Len() == 0 && len(s.Runs) == 0 || v.Len() > 0 && len(s.Runs) > 0 {
			t.Errorf("%d faults and %d runs", v.Len(), len(s.Runs))
		}
		if show(s) != show(s2) || origin != origin2 || fmt.Sprint(v.Err()) != fmt.Sprint(again.Err()) {
			t.Error("not the same twice")
		}
		s.Validate(v)
	})
}
