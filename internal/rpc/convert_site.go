package rpc

import (
	"cmp"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

var sides = pairsOf(map[wattlev1.Side]site.Side{
	wattlev1.Side_SIDE_LEFT:  site.Left,
	wattlev1.Side_SIDE_RIGHT: site.Right,
})

var hinges = pairsOf(map[wattlev1.Gate_Hinge]site.Hinge{
	wattlev1.Gate_HINGE_START:  site.HingeStart,
	wattlev1.Gate_HINGE_FINISH: site.HingeFinish,
})

// SiteToProto is a site in local coordinates, the form that every other form is
// brought to (see reader.site).
func SiteToProto(s site.Site) *wattlev1.Site {
	p := &wattlev1.Site{Runs: make([]*wattlev1.Run, len(s.Runs)), Conditions: conditionsToProto(s.Conditions)}
	for i, r := range s.Runs {
		p.Runs[i] = runToProto(r)
	}
	for _, o := range s.Obstacles {
		p.Obstacles = append(p.Obstacles, &wattlev1.Obstacle{Id: o.ID, Path: verticesToProto(o.Path), Clearance: o.Clearance.String()})
	}
	return p
}

func obstacleFromProto(v *fault.List, p *wattlev1.Obstacle) site.Obstacle {
	o := site.Obstacle{ID: p.GetId(), Clearance: readLength(v, "clearance", p.GetClearance())}
	path := v.At("path")
	for i, vertex := range p.GetPath() {
		at := path.Index(i)
		o.Path = append(o.Path, pointFromProto(at, vertex))
		at.Require(vertex.GetElevation() == "", "elevation", "an obstacle has none; leave it out")
		at.Require(vertex.GetArc() == nil, "arc", "an obstacle has straight sides only; give the arc as several points")
	}
	return o
}

func pointFromProto(v *fault.List, p *wattlev1.Vertex) measure.Point {
	return measure.Point{East: readLength(v, "east", p.GetEast()), North: readLength(v, "north", p.GetNorth())}
}

func verticesToProto(points []measure.Point) []*wattlev1.Vertex {
	vertices := make([]*wattlev1.Vertex, len(points))
	for i, at := range points {
		vertices[i] = &wattlev1.Vertex{East: at.East.String(), North: at.North.String()}
	}
	return vertices
}

// alongFromProto reads what stands along a run: all of it but its line and its
// ground.
func alongFromProto(v *fault.List, p *wattlev1.Run) site.Run {
	r := site.Run{
		ID: p.GetId(), Closed: p.GetClosed(), Face: sides.domain[p.GetFace()],
		Start: terminusFromProto(v.At("start"), p.GetStart()),
		End:   terminusFromProto(v.At("end"), p.GetEnd()),
	}
	at := v.At("gates")
	for i, g := range p.GetGates() {
		r.Gates = append(r.Gates, gateFromProto(at.Index(i), g))
	}
	at = v.At("keep_outs")
	for i, k := range p.GetKeepOuts() {
		from, to := intervalFromProto(at.Index(i), k)
		r.KeepOuts = append(r.KeepOuts, site.KeepOut{ID: k.GetId(), From: from, To: to})
	}
	at = v.At("pins")
	for i, pin := range p.GetPins() {
		r.Pins = append(r.Pins, site.Pin{Station: readLength(at.Index(i), "station", pin.GetStation()), Existing: pin.GetExisting()})
	}
	at = v.At("slopes")
	for i, s := range p.GetSlopes() {
		from, to := intervalFromProto(at.Index(i), s)
		r.Slopes = append(r.Slopes, site.SlopePart{From: from, To: to, Stepped: s.GetMode() == wattlev1.SlopeMode_SLOPE_MODE_STEPPED})
	}
	at = v.At("neighbours")
	for i, n := range p.GetNeighbours() {
		from, to := intervalFromProto(at.Index(i), n)
		r.Neighbours = append(r.Neighbours, site.Neighbour{
			From: from, To: to, Side: sides.domain[n.GetSide()], Gap: readLength(at.Index(i), "gap", n.GetGap()),
		})
	}
	return r
}

func intervalFromProto(v *fault.List, p interface {
	GetFrom() string
	GetTo() string
}) (from, to measure.Length) {
	return readLength(v, "from", p.GetFrom()), readLength(v, "to", p.GetTo())
}

func runToProto(r site.Run) *wattlev1.Run {
	p := &wattlev1.Run{
		Id: r.ID, Closed: r.Closed, Face: sides.wire[r.Face], Vertices: verticesToProto(r.Vertices),
		Start: terminusToProto(r.Start), End: terminusToProto(r.End),
	}
	for _, vertex := range r.Chords {
		p.Chords = append(p.Chords, int32(vertex))
	}
	for _, g := range r.Gates {
		p.Gates = append(p.Gates, gateToProto(g))
	}
	for _, g := range r.Ground {
		p.Ground = append(p.Ground, &wattlev1.GroundPoint{Station: g.Station.String(), Elevation: g.Elevation.String()})
	}
	for _, k := range r.KeepOuts {
		p.KeepOuts = append(p.KeepOuts, &wattlev1.KeepOut{Id: k.ID, From: k.From.String(), To: k.To.String()})
	}
	for _, pin := range r.Pins {
		p.Pins = append(p.Pins, &wattlev1.Pin{Station: pin.Station.String(), Existing: pin.Existing})
	}
	for _, s := range r.Slopes {
		mode := wattlev1.SlopeMode_SLOPE_MODE_RACKED
		if s.Stepped {
			mode = wattlev1.SlopeMode_SLOPE_MODE_STEPPED
		}
		p.Slopes = append(p.Slopes, &wattlev1.SlopePart{From: s.From.String(), To: s.To.String(), Mode: mode})
	}
	for _, n := range r.Neighbours {
		p.Neighbours = append(p.Neighbours, &wattlev1.Neighbour{
			From: n.From.String(), To: n.To.String(), Side: sides.wire[n.Side], Gap: n.Gap.String(),
		})
	}
	return p
}

// terminusFromProto refuses a gap to no wall. Package site takes one: it was
// once read over, so stored sites may have it.
func terminusFromProto(v *fault.List, p *wattlev1.Terminus) site.Terminus {
	t := site.Terminus{TieIn: p.GetTieIn(), WallGap: readLength(v, "wall_gap", p.GetWallGap()), LinePostOf: p.GetLinePostOf()}
	v.Require(t.TieIn || t.WallGap == 0, "wall_gap", "needs tie_in: only an end at a wall has a gap to it")
	return t
}

// terminusToProto is nil for a free end.
func terminusToProto(t site.Terminus) *wattlev1.Terminus {
	if t == (site.Terminus{}) {
		return nil
	}
	return &wattlev1.Terminus{TieIn: t.TieIn, WallGap: t.WallGap.String(), LinePostOf: t.LinePostOf}
}

func gateFromProto(v *fault.List, p *wattlev1.Gate) site.Gate {
	return site.Gate{
		ID:      p.GetId(),
		Station: readLength(v, "station", p.GetStation()),
		Width:   readLength(v, "width", p.GetWidth()),
		Leaves:  cmp.Or(int(p.GetLeaves()), 1),
		Hinge:   hinges.domain[p.GetHinge()],
		Swing:   sides.domain[p.GetSwing()],
		Slides:  p.GetSlides(),
	}
}

func gateToProto(g site.Gate) *wattlev1.Gate {
	return &wattlev1.Gate{
		Id: g.ID, Station: g.Station.String(), Width: g.Width.String(), Leaves: int32(g.Leaves),
		Hinge: hinges.wire[g.Hinge], Swing: sides.wire[g.Swing], Slides: g.Slides,
	}
}
