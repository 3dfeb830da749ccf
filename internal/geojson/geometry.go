package geojson

import (
	"encoding/json"
	"math"
	"strings"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// geometry is a geometry as read: a Point is one line of one position.
type geometry struct {
	shape string // as in the text: "LineString"
	lines []line
}

// line is a row of positions. A closed one does not repeat its first.
type line struct {
	at        *fault.List
	positions []position
	closed    bool
	levels    bool // every position has an elevation
}

type position struct {
	LonLat
	elevation measure.Length
	level     bool // it has an elevation
}

// instead says what to draw instead of what is not read.
var instead = map[string]string{
	"MultiPoint":         "give each point a feature of its own",
	"MultiPolygon":       "give each polygon a feature of its own",
	"GeometryCollection": "give each geometry a feature of its own",
}

// reader reads one text; left is how many positions it may still read.
type reader struct{ left int }

func (r *reader) geometry(v *fault.List, m members) (geometry, bool) {
	wgs84(v, m)
	before := v.Len()
	g := geometry{}
	g.shape, _ = text(m["type"])
	at := v.At("coordinates")
	switch g.shape {
	case "Point":
		r.take(at, 1)
		p, _ := r.position(at, m["coordinates"])
		g.lines = []line{{at: at, positions: []position{p}}}
	case "LineString":
		g.lines = []line{r.line(at, m["coordinates"])}
	case "MultiLineString":
		g.lines = r.lines(at, m["coordinates"])
	case "Polygon":
		rings, ok := array(at, m["coordinates"], "rings")
		if !ok || !at.Require(len(rings) > 0, "", "expected a ring") {
			break
		}
		at.Require(len(rings) == 1, "", "expected one ring, found %d: a polygon with holes is no run; draw each hole as a polygon of its own", len(rings))
		g.lines = []line{r.ring(at.Index(0), rings[0])}
	default:
		advice, known := instead[g.shape]
		if !known {
			advice = "expected Point, LineString, MultiLineString or Polygon"
		}
		v.Add("type", "a geometry of type %s is not read; %s", described(m["type"]), advice)
	}
	return g, v.Len() == before
}

func (r *reader) lines(at *fault.List, raw json.RawMessage) []line {
	elements, ok := array(at, raw, "lines")
	if !ok || !at.Require(len(elements) > 0, "", "expected at least one line") {
		return nil
	}
	if len(elements) > r.left { // each has a position at least
		r.take(at, len(elements))
		return nil
	}
	var lines []line
	for i, e := range elements {
		if r.left < 0 {
			break
		}
		lines = append(lines, r.line(at.Index(i), e))
	}
	return lines
}

func (r *reader) line(at *fault.List, raw json.RawMessage) line {
	l, n, ok := r.row(at, raw)
	if ok {
		at.Require(n >= 2, "", "expected at least 2 positions, found %d", n)
	}
	return l
}

func (r *reader) ring(at *fault.List, raw json.RawMessage) line {
	l, n, ok := r.row(at, raw)
	l.closed = true
	if !ok || !at.Require(n >= 4, "", "expected at least 4 positions in a ring, the last like the first; found %d", n) {
		return l
	}
	first, last := l.positions[0], l.positions[n-1]
	at.Require(first == last, "", "the ring is not closed: the last position must repeat the first, elevation included")
	l.positions = l.positions[:n-1]
	return l
}

// row reads positions, and how many there are.
func (r *reader) row(at *fault.List, raw json.RawMessage) (l line, n int, ok bool) {
	l.at = at
	elements, ok := array(at, raw, "positions")
	if !ok || !r.take(at, len(elements)) {
		return l, 0, false
	}
	levels, sound := 0, 0
	for i, e := range elements {
		p, ok := r.position(at.Index(i), e)
		l.positions = append(l.positions, p)
		if ok {
			sound++
		}
		if ok && p.level {
			levels++
		}
	}
	at.Require(levels == 0 || levels == sound, "", "%d of %d positions have an elevation; expected it at all of them or at none", levels, sound)
	l.levels = levels > 0 && levels == len(elements)
	return l, len(elements), true
}

// take counts positions against the limit of the whole text.
func (r *reader) take(at *fault.List, n int) bool {
	r.left -= n
	return at.Require(r.left >= 0, "", "more than %d positions in all; expected a site, not a map of a town", maxPositions)
}

func (r *reader) position(at *fault.List, raw json.RawMessage) (p position, ok bool) {
	elements, ok := array(at, raw, "longitude, latitude and perhaps elevation")
	if !ok || !at.Require(len(elements) == 2 || len(elements) == 3, "", "expected longitude, latitude and perhaps elevation, found %d number(s)", len(elements)) {
		return p, false
	}
	var numbers [3]float64
	for i, e := range elements {
		if json.Unmarshal(e, &numbers[i]) != nil || strings.HasPrefix(string(e), "n") {
			at.Index(i).Add("", "expected a number, found %s", described(e))
			ok = false
		}
	}
	if !ok {
		return p, false
	}
	p.LonLat = LonLat{Lon: numbers[0], Lat: numbers[1]}
	ok = p.validate(at, "[0]", "[1]")
	if p.level = len(elements) == 3; p.level {
		// More than any ground on earth, so that a blank written as -9999 m or
		// 1e38 is not taken for one.
		ok = at.Require(math.Abs(numbers[2]) <= 9000, "[2]", "expected an elevation between -9000 and 9000 metres, found %v", numbers[2]) && ok
		if ok {
			p.elevation = fromMetres(numbers[2])
		}
	}
	return p, ok
}

// wgs84 refuses coordinates that say they are in another system. The member is
// of an older GeoJSON; RFC 7946 knows WGS 84 alone (section 4).
func wgs84(v *fault.List, m members) {
	if m["crs"] == nil {
		return
	}
	var crs struct {
		Type       string
		Properties struct{ Name string }
	}
	_ = json.Unmarshal(m["crs"], &crs) // what does not fit has no name
	switch crs.Properties.Name {
	case "urn:ogc:def:crs:OGC:1.3:CRS84", "urn:ogc:def:crs:OGC::CRS84", "OGC:CRS84", "urn:ogc:def:crs:EPSG::4326", "EPSG:4326":
	default:
		v.Add("crs", "expected WGS 84 longitude and latitude (urn:ogc:def:crs:OGC:1.3:CRS84, or no crs at all), found %s; export again in WGS 84", crsName(crs.Properties.Name, m["crs"]))
	}
}

func crsName(name string, raw json.RawMessage) string {
	if name == "" {
		return described(raw)
	}
	return quoted(name)
}
