package rpc

import (
	"slices"
	"strconv"
	"strings"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/arc"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/traverse"
)

// line is where a run goes, in local coordinates, and how the ground lies there.
type line struct {
	vertices []measure.Point
	chords   []int
	ground   []site.GroundPoint
	closure  *traverse.Closure
	origin   runOrigin
}

// mostChords is the most chords that all arcs of a site are laid as: a request
// is small, and what it asks for must be as well.
const mostChords = 50_000

// lineReader reads the lines of one site.
type lineReader struct {
	curves func() []arc.Limit // asked for only where there are arcs
	chords int                // that may yet be laid
}

func (lr *lineReader) read(v *fault.List, p *wattlev1.Run) line {
	switch {
	case p.GetTraverse() != nil && len(p.GetVertices()) > 0:
		v.Add("traverse", "expected either vertices or a traverse, found both")
		return line{}
	case p.GetTraverse() != nil:
		return traverseFromProto(v, p)
	case len(p.GetVertices()) == 0:
		v.Add("vertices", "expected vertices or a traverse, found neither")
		return line{}
	}
	l := lr.polyline(v, p)
	l.ground = groundFromProto(v.At("ground"), p.GetGround())
	if elevations, given := elevationsFromProto(v.At("vertices"), p.GetVertices()); given {
		if v.Require(len(p.GetGround()) == 0, "ground", "expected the ground at stations or elevations at the vertices, found both") {
			l.groundAtVertices(p.GetClosed(), elevations)
		}
	}
	return l
}

// polyline reads the vertices and lays the arcs between them as chords.
func (lr *lineReader) polyline(v *fault.List, p *wattlev1.Run) line {
	given, arcs := make([]measure.Point, len(p.GetVertices())), 0
	at, before := v.At("vertices"), v.Len()
	for i, vertex := range p.GetVertices() {
		given[i] = pointFromProto(at.Index(i), vertex)
		if vertex.GetArc() != nil {
			arcs++
		}
	}
	if arcs == 0 {
		l := line{vertices: given}
		for _, vertex := range p.GetChords() {
			l.chords = append(l.chords, int(vertex))
		}
		return l
	}
	var l line
	curves, sound := lr.curves(), v.Len() == before // an arc between points that cannot be read is not looked at
	lay := func(from, to int) {
		a := p.GetVertices()[to].GetArc()
		if a == nil {
			return
		}
		field := "vertices[" + strconv.Itoa(to) + "].arc"
		for _, point := range lr.lay(v.At(field), a, given[from], given[to], curves, sound) {
			l.chords = append(l.chords, len(l.vertices))
			l.vertices = append(l.vertices, point)
			l.origin.vertices = append(l.origin.vertices, source{field: field})
		}
	}
	standsAt := make([]int, len(given))
	for i, point := range given {
		if i > 0 {
			lay(i-1, i)
		} else if !p.GetClosed() {
			at.Index(0).Require(p.GetVertices()[0].GetArc() == nil, "arc", "an open run has no side before its first vertex; leave the arc out")
		}
		standsAt[i] = len(l.vertices)
		l.vertices = append(l.vertices, point)
		l.origin.vertices = append(l.origin.vertices, source{field: "vertices[" + strconv.Itoa(i) + "]"})
	}
	if p.GetClosed() {
		lay(len(given)-1, 0)
	}
	for _, vertex := range p.GetChords() {
		if int(vertex) < len(standsAt) {
			l.chords = append(l.chords, standsAt[vertex])
		} else {
			v.Add("chords", "there is no vertex %d", vertex)
		}
	}
	slices.Sort(l.chords)
	l.chords = slices.Compact(l.chords)
	return l
}

// lay is the points between two vertices where the arc is laid as chords.
func (lr *lineReader) lay(v *fault.List, p *wattlev1.Arc, from, to measure.Point, curves []arc.Limit, sound bool) []measure.Point {
	before := v.Len()
	radius := readLength(v, "radius", p.GetRadius())
	if !sound || p.GetRadius() == "" || v.Len() > before || lr.chords < 0 {
		return nil
	}
	limit := arc.Spacing(curves, radius)
	if radius > 0 && !v.Require(limit > 0, "radius", "spec.curves has no row for arcs as tight as %s", radius) {
		return nil
	}
	points, err := arc.Chords(arc.Curve{From: from, To: to, Radius: radius, Left: sides.domain[p.GetTurns()] == site.Left}, limit)
	if err != nil {
		v.Add("", "%v", err)
		lr.chords -= 1 + arc.MaxChords/10 // about the work of finding out
	} else {
		lr.chords -= len(points)
	}
	v.Require(lr.chords >= 0, "", "with it the arcs of the site take too long to lay; expected at most %d chords in all", mostChords)
	return points
}

func groundFromProto(v *fault.List, p []*wattlev1.GroundPoint) []site.GroundPoint {
	var ground []site.GroundPoint
	for i, g := range p {
		at := v.Index(i)
		ground = append(ground, site.GroundPoint{Station: readLength(at, "station", g.GetStation()), Elevation: readLength(at, "elevation", g.GetElevation())})
	}
	return ground
}

// elevationsFromProto reads the elevations at vertices, which all of them have
// or none.
func elevationsFromProto(v *fault.List, p []*wattlev1.Vertex) (elevations []measure.Length, given bool) {
	given = slices.ContainsFunc(p, func(vertex *wattlev1.Vertex) bool { return vertex.GetElevation() != "" })
	if !given {
		return nil, false
	}
	elevations = make([]measure.Length, len(p))
	for i, vertex := range p {
		elevations[i] = readLength(v.Index(i), "elevation", vertex.GetElevation())
		v.Index(i).Require(vertex.GetElevation() != "", "elevation", "expected an elevation here as at other vertices of the run, or at none")
	}
	return elevations, true
}

// groundAtVertices takes the ground from elevations at the request's vertices:
// on an arc it is linear along the chords.
func (l *line) groundAtVertices(closed bool, given []measure.Length) {
	onArc := func(vertex int) bool {
		return len(l.origin.vertices) > 0 && strings.HasSuffix(l.origin.vertices[vertex].field, ".arc")
	}
	at := make([]measure.Length, len(l.vertices))
	next := 0
	for i := range at {
		if !onArc(i) && next < len(given) {
			at[i] = given[next]
			next++
		}
	}
	for i, g := range site.GroundAtVertices(l.vertices, closed, at) {
		vertex := i % len(l.vertices) // a closed run comes home
		if onArc(vertex) {
			continue
		}
		l.ground = append(l.ground, g)
		came := source{field: "vertices[" + strconv.Itoa(vertex) + "]"}
		if len(l.origin.vertices) > 0 {
			came = l.origin.vertices[vertex]
		}
		l.origin.ground = append(l.origin.ground, source{field: came.field + ".elevation"})
	}
}
