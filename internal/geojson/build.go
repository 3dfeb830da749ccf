package geojson

import (
	"fmt"
	"unicode/utf8"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// name gives every feature that needs an id and has none one of its kind and
// its number among that kind.
func name(features []feature) {
	count := map[string]int{}
	for i := range features {
		f := &features[i]
		count[f.kind.name]++
		if f.id == "" && f.kind.name != "" {
			f.id = fmt.Sprintf("%s-%d", f.kind.name, count[f.kind.name])
		}
	}
}

// ids are what the feature's parts are called in the site.
func (f *feature) ids() []string {
	if f.shape != "MultiLineString" {
		return []string{f.id}
	}
	ids := make([]string, len(f.lines))
	for i := range ids {
		ids[i] = fmt.Sprintf("%s-%d", f.id, i+1)
	}
	return ids
}

// distinct notes ids that two features of a kind share, or that grew too long. A pin has none.
func distinct(features []feature) {
	type key struct{ kind, id string }
	seen := map[key]bool{}
	for i := range features {
		f := &features[i]
		if f.kind.name == "" || f.kind.name == "pin" {
			continue
		}
		for _, id := range f.ids() {
			f.v.Require(!seen[key{f.kind.name, id}], "id", "an earlier %s is called %s already; expected an id of its own", f.kind.name, quoted(id))
			seen[key{f.kind.name, id}] = true
			f.v.Require(utf8.RuneCountInString(id) <= maxID, "id", "%s is too long; expected at most %d characters, a line's number included", quoted(id), maxID)
		}
	}
}

// first is the first position of the first run.
func first(features []feature) (LonLat, bool) {
	for _, f := range features {
		if f.kind.name == "run" {
			return f.lines[0].positions[0].LonLat, true
		}
	}
	return LonLat{}, false
}

// build lays sound features out on the plane.
func build(v *fault.List, p plane, features []feature) site.Site {
	before := v.Len()
	var s site.Site
	points := make([][]measure.Point, len(features)) // of gates and pins
	onRuns := 0
	for i, f := range features {
		ids := f.ids()
		for j, l := range f.lines {
			path := p.path(l)
			switch f.kind.name {
			case "run":
				run := f.part
				run.ID, run.Vertices, run.Closed = ids[j], path, l.closed
				run.Ground = l.ground(run)
				s.Runs = append(s.Runs, run)
			case "keep-out":
				s.Obstacles = append(s.Obstacles, site.Obstacle{ID: f.id, Path: path, Clearance: f.clearance})
			default:
				points[i] = path
				onRuns++
			}
		}
	}
	v.Require(onRuns <= maxOnRuns, "", "expected at most %d gates and pins, found %d", maxOnRuns, onRuns)
	if v.Len() > before {
		return s
	}
	snap := newSnap(s.Runs)
	for i, f := range features {
		switch f.kind.name {
		case "gate":
			snap.gate(f, points[i][0])
		case "pin":
			snap.pin(f, points[i][0])
		}
	}
	return s
}

// path is a line on the plane.
func (p plane) path(l line) []measure.Point {
	path := make([]measure.Point, len(l.positions))
	for i, position := range l.positions {
		at := l.at
		if len(l.positions) > 1 {
			at = at.Index(i)
		}
		before := at.Len()
		path[i] = p.point(at, position.LonLat)
		if at.Len() > before {
			continue
		}
		at.Require(i == 0 || path[i] != path[i-1], "", "the same place as the position before it; leave one of the two out")
		at.Require(!l.closed || i < len(path)-1 || path[i] != path[0], "", "the same place as the first position; a ring repeats it once")
	}
	return path
}

// ground is the elevation of grade along the run of a line; a closed run comes
// back to its start's.
func (l line) ground(r site.Run) []site.GroundPoint {
	if !l.levels {
		return nil
	}
	ground := make([]site.GroundPoint, 0, len(l.positions)+1)
	var station measure.Length
	for i, leg := range r.Legs() {
		ground = append(ground, site.GroundPoint{Station: leg.Start, Elevation: l.positions[i].elevation})
		station = leg.End
	}
	last := l.positions[len(l.positions)-1]
	if l.closed {
		last = l.positions[0]
	}
	return append(ground, site.GroundPoint{Station: station, Elevation: last.elevation})
}
