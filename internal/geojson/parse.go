package geojson

import (
	"bytes"
	"encoding/json"

	"wattle/internal/fault"
	"wattle/internal/site"
)

// Limits.
const (
	maxBytes     = 1 << 20
	maxPositions = 10_000 // and features, each of which has at least one
	maxOnRuns    = 2_000  // gates and pins: each is held against every leg
	maxID        = 64     // characters, as for every id of a site
)

// Options of reading.
type Options struct {
	// Origin of the plane; nil: the first position of the first run. A site
	// that is read again after a change keeps its coordinates only with its
	// first origin.
	Origin *LonLat
	// Beside: the site has runs that the map does not. Then the map may lack
	// any, where its Origin is given.
	Beside bool
}

// Parse reads a site from a FeatureCollection, a Feature or a bare geometry, and
// answers the origin of its coordinates, which is needed to go back to the map.
//
// Runs, gates and obstacles come in the order of the text; every gate and pin
// stands on the nearest point of its run, which must be within 2 m, at a station
// rounded to 1/16 in. Stations of gates and pins, and whether an opening fits its
// leg, are for Site.Validate and the layout to judge.
//
// Everything wrong is noted in v by its path in the text, such as
// features[3].properties.width; then the site is empty. What a later step needs
// is looked at only when the earlier one is sound: the text, then the plane
// (distances from the origin), then the gates and pins on their runs. Limits: 1
// MiB, 10,000 positions, 2,000 gates and pins, 30 km from the origin.
func Parse(v *fault.List, text []byte, o Options) (site.Site, LonLat) {
	before := v.Len()
	if o.Origin != nil {
		o.Origin.validate(v.At("origin"), "lon", "lat")
	}
	features := read(v, text)
	name(features)
	distinct(features)
	if v.Len() > before {
		return site.Site{}, LonLat{}
	}
	origin, runs := first(features)
	switch {
	case !runs && !o.Beside:
		v.Add("", "expected at least one run: a LineString, a MultiLineString or a Polygon")
		return site.Site{}, LonLat{}
	case o.Origin != nil:
		origin = *o.Origin
	case !runs:
		v.Add("", "it has no run to begin at, so nothing says where it lies beside the other runs; expected geojson_origin, the longitude and latitude of their origin")
		return site.Site{}, LonLat{}
	}
	s := build(v, plane{origin}, features)
	if v.Len() > before {
		return site.Site{}, LonLat{}
	}
	return s, origin
}

// read takes the text apart.
func read(v *fault.List, raw []byte) []feature {
	if !v.Require(len(raw) <= maxBytes, "", "expected at most 1 MiB, found %d bytes", len(raw)) {
		return nil
	}
	raw = bytes.TrimPrefix(raw, []byte("\ufeff")) // a reader may pass over it [RFC 8259, section 8.1]
	if !whole(v, raw) {
		return nil
	}
	raw = bytes.TrimSpace(raw)
	m, ok := object(v, raw)
	if !ok {
		return nil
	}
	r := &reader{left: maxPositions}
	switch t, _ := text(m["type"]); t {
	case "FeatureCollection":
		wgs84(v, m)
		return r.collection(v.At("features"), m["features"])
	case "Feature":
		f, _ := r.feature(v, raw)
		return []feature{f}
	case "Point", "LineString", "Polygon", "MultiPoint", "MultiLineString", "MultiPolygon", "GeometryCollection":
		f := r.drawn(v, raw)
		f.describe(properties{v, members{}})
		return []feature{f}
	default:
		v.Add("type", "expected FeatureCollection, Feature or a geometry such as LineString, found %s", described(m["type"]))
		return nil
	}
}

func (r *reader) collection(v *fault.List, raw json.RawMessage) []feature {
	elements, ok := array(v, raw, "features")
	if !ok || !v.Require(len(elements) > 0, "", "expected at least one feature") ||
		!v.Require(len(elements) <= maxPositions, "", "expected at most %d features, found %d", maxPositions, len(elements)) {
		return nil
	}
	var features []feature
	for i, e := range elements {
		if f, ok := r.feature(v.Index(i), e); ok {
			features = append(features, f)
		}
		if r.left < 0 {
			break
		}
	}
	return features
}
