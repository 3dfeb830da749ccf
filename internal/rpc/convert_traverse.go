package rpc

import (
	"cmp"
	"errors"
	"slices"
	"strconv"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
	"wattle/internal/site"
	"wattle/internal/traverse"
)

// traverseFromProto runs a run's traverse. A run that is not closed and yet has
// a traverse that closes ends at its own start.
func traverseFromProto(v *fault.List, p *wattlev1.Run) line {
	l := line{origin: runOrigin{whole: "traverse"}, ground: groundFromProto(v.At("ground"), p.GetGround())}
	for _, vertex := range p.GetChords() {
		l.chords = append(l.chords, int(vertex))
	}
	t, at, before := p.GetTraverse(), v.At("traverse"), v.Len()
	in := traverse.Input{
		Text: t.GetText(), Closes: t.GetCloses() || p.GetClosed(), Balance: t.GetBalance(), LeastPrecision: int64(t.GetLeastPrecision()),
	}
	start := at.At("start")
	if s := t.GetStart(); s != nil {
		in.Start = pointFromProto(start, s)
		in.Elevation = readLength(start, "elevation", s.GetElevation())
		start.Require(s.GetArc() == nil, "arc", "a traverse has straight sides only; leave the arc out")
	}
	for _, leg := range t.GetLegs() {
		in.Legs = append(in.Legs, traverse.LegText{
			Bearing: leg.GetBearing(), Distance: leg.GetDistance(), Rise: leg.GetRise(), Percent: leg.GetPercent(),
		})
	}
	found := &fault.List{}
	r, ok := traverse.Run(found, in)
	mergeRenamed(at, found, map[string]string{"elevation": "start.elevation"})
	if !ok || v.Len() > before {
		return l
	}
	l.vertices, l.closure = r.Vertices, r.Closure
	for i := range r.Vertices {
		l.origin.vertices = append(l.origin.vertices, legSource(t, i))
	}
	elevations := r.Elevations
	if in.Closes && !p.GetClosed() {
		l.vertices = append(slices.Clip(l.vertices), l.vertices[0])
		l.origin.vertices = append(l.origin.vertices, legSource(t, len(r.Legs)))
		if elevations != nil {
			elevations = append(slices.Clip(elevations), elevations[0])
		}
	}
	if elevations == nil && t.GetStart().GetElevation() == "" {
		return l
	}
	if !v.Require(len(p.GetGround()) == 0, "ground", "expected the ground at stations or elevations along the traverse, found both") {
		return l
	}
	if elevations == nil { // level at the start's elevation
		l.ground = []site.GroundPoint{{Elevation: in.Elevation}}
		l.origin.ground = []source{{field: "traverse.start.elevation"}}
		return l
	}
	l.ground = site.GroundAtVertices(l.vertices, p.GetClosed(), elevations)
	for i := range l.ground {
		l.origin.ground = append(l.origin.ground, legSource(t, i))
	}
	return l
}

// legSource is where the request gives a vertex of the traverse: the first as
// the start, each other as the end of a leg.
func legSource(t *wattlev1.Traverse, vertex int) source {
	leg := strconv.Itoa(vertex)
	switch {
	case vertex == 0:
		return source{field: "traverse.start"}
	case len(t.GetLegs()) == 0:
		return source{field: "traverse.text", note: "leg " + leg + ": "}
	default:
		return source{field: "traverse.legs[" + strconv.Itoa(vertex-1) + "]"}
	}
}

// mergeRenamed takes what was found into v, by the names that the request has
// for it.
func mergeRenamed(v, found *fault.List, names map[string]string) {
	e, ok := errors.AsType[*fault.Error](found.Err())
	if !ok {
		return
	}
	for _, violation := range e.Violations {
		v.Add(cmp.Or(names[violation.Field], violation.Field), "%s", violation.Description)
	}
}
