package geojson

import (
	"encoding/json"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// feature is one feature as read, its positions still on the ellipsoid. Which
// of the last fields has something depends on the kind.
type feature struct {
	geometry
	v         *fault.List // the properties' path
	kind      kind
	id        string   // given by the text, or empty
	run       string   // of a gate or a pin: on which run, or empty
	part      site.Run // of a run: what all of its lines share
	gate      site.Gate
	pin       site.Pin
	clearance measure.Length // of a keep-out
}

// feature reads a GeoJSON Feature.
func (r *reader) feature(v *fault.List, raw json.RawMessage) (feature, bool) {
	m, ok := object(v, raw)
	if !ok {
		return feature{}, false
	}
	if t, _ := text(m["type"]); !v.Require(t == "Feature", "type", `expected "Feature", found %s`, described(m["type"])) {
		return feature{}, false
	}
	wgs84(v, m)
	own := members{}
	if m.given("properties") {
		own, _ = object(v.At("properties"), m["properties"])
	}
	f := r.drawn(v.At("geometry"), m["geometry"])
	f.id = identity(v, m)
	f.describe(properties{v.At("properties"), own})
	return f, true
}

// drawn reads a feature's geometry.
func (r *reader) drawn(v *fault.List, raw json.RawMessage) (f feature) {
	if m, ok := object(v, raw); ok {
		f.geometry, _ = r.geometry(v, m)
	}
	return f
}

// describe reads the properties, as the kind asks.
func (f *feature) describe(p properties) {
	f.v = p.v
	if id := identity(p.v, p.members); id != "" {
		f.id = id
	}
	known := true
	switch {
	case p.given("kind"):
		var name string
		name, _ = text(p.members["kind"])
		f.kind, known = kindNamed(name)
		p.v.Require(known, "kind", "expected run, gate, keep-out or pin, found %s", described(p.members["kind"]))
	case f.shape == "Point":
		known = false
		p.v.Add("kind", "expected gate, keep-out or pin: a Point does not say by itself what it is")
	default:
		f.kind = kinds[0]
	}
	if !known {
		return
	}
	if len(f.lines) > 0 && !slices.Contains(f.kind.shapes, f.shape) {
		p.v.Add("kind", "a %s cannot be a %s; expected a %s", f.kind.name, f.shape, strings.Join(f.kind.shapes, " or "))
	}
	p.names(f.kind)
	switch f.kind.name {
	case "run":
		f.part.Face = p.side("face")
		f.part.Start = f.terminus(p, "start")
		f.part.End = f.terminus(p, "end")
	case "gate":
		f.run = p.text("run")
		f.gate = site.Gate{
			Width:  p.length("width"),
			Leaves: p.leaves(),
			Hinge:  site.Hinge(p.choice("hinge", "start", "finish")),
			Swing:  p.side("swing"),
			Slides: p.yes("slides"),
		}
		p.v.Require(!f.gate.Slides || f.gate.Leaves != 2, "leaves", "a gate that slides has one leaf, found 2")
		p.v.Require(p.given("width"), "width", `expected the clear opening, such as "4 ft"`)
	case "keep-out":
		f.clearance = p.length("clearance")
		p.v.Require(p.given("clearance"), "clearance", `expected how far holes keep away, such as "2 ft"`)
	case "pin":
		f.run = p.text("run")
		f.pin.Existing = p.yes("existing")
	}
}

// terminus reads how one end of a run stands.
func (f *feature) terminus(p properties, end string) site.Terminus {
	tieIn, gap := end+"_tie_in", end+"_wall_gap"
	t := site.Terminus{TieIn: p.yes(tieIn), WallGap: p.length(gap)}
	p.v.Require(t.TieIn || !p.given(gap), gap, "only a tied-in end has a gap to the wall; expected %s: true beside it", tieIn)
	p.v.Require(!t.TieIn || f.shape != "Polygon", tieIn, "a closed run has no ends to tie in")
	p.v.Require(!t.TieIn || len(f.lines) <= 1, tieIn, "several lines have several ends; draw the tied-in one as a LineString")
	return t
}

// identity is the member "id" of a feature, or of its properties: text or a
// number as it is written, empty where there is none.
func identity(v *fault.List, m members) string {
	if !m.given("id") {
		return ""
	}
	raw := m["id"]
	id, ok := text(raw)
	if !ok && (raw[0] == '-' || '0' <= raw[0] && raw[0] <= '9') {
		id, ok = string(raw), true
	}
	switch {
	case !ok:
		v.Add("id", "expected text or a number, found %s", described(raw))
	case strings.TrimSpace(id) == "":
		v.Add("id", "expected text or a number, found nothing but space")
	case utf8.RuneCountInString(id) > maxID || strings.ContainsFunc(id, unicode.IsControl):
		v.Add("id", "expected at most %d characters, none of them a control character, found %q", maxID, short(id))
	default:
		return id
	}
	return ""
}
