package rpc

import (
	"slices"
	"strconv"
	"strings"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
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

// lineReader reads the lines of one site.
type lineReader struct {
	spec   *spec.Spec
	filled *spec.Spec // with its defaults, once there are arcs
	chords int        // that may yet be laid
}

// fence is the spec with its defaults.
func (lr *lineReader) fence() spec.Spec {
	if lr.filled == nil {
		lr.filled = new(lr.spec.WithDefaults())
	}
	return *lr.filled
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
	before := v.Len()
	l := line{vertices: make([]measure.Point, len(p.GetVertices()))}
	for i, vertex := range p.GetVertices() {
		l.vertices[i] = pointFromProto(v.At("vertices").Index(i), vertex)
	}
	if slices.ContainsFunc(p.GetVertices(), func(vertex *wattlev1.Vertex) bool { return vertex.GetArc() != nil }) {
		c := curved{lr: lr, v: v, run: p, given: l.vertices, fence: lr.fence(), sound: v.Len() == before}
		return c.line()
	}
	for _, vertex := range p.GetChords() {
		l.chords = append(l.chords, int(vertex))
	}
	return l
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
