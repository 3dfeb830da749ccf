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

// SiteFromProto reads a site; v takes what cannot be read, by paths below its
// own.
func SiteFromProto(v *fault.List, p *wattlev1.Site) site.Site {
	s := site.Site{Runs: make([]site.Run, len(p.GetRuns()))}
	runs := v.At("runs")
	for i, r := range p.GetRuns() {
		s.Runs[i] = runFromProto(runs.Index(i), r)
	}
	return s
}

// SiteToProto is the reverse of SiteFromProto.
func SiteToProto(s site.Site) *wattlev1.Site {
	p := &wattlev1.Site{Runs: make([]*wattlev1.Run, len(s.Runs))}
	for i, r := range s.Runs {
		p.Runs[i] = runToProto(r)
	}
	return p
}

func runFromProto(v *fault.List, p *wattlev1.Run) site.Run {
	r := site.Run{
		ID: p.GetId(), Closed: p.GetClosed(), Face: sides.domain[p.GetFace()],
		Vertices: make([]measure.Point, len(p.GetVertices())),
		Start:    terminusFromProto(v.At("start"), p.GetStart()),
		End:      terminusFromProto(v.At("end"), p.GetEnd()),
	}
	vertices := v.At("vertices")
	for i, vertex := range p.GetVertices() {
		at := vertices.Index(i)
		r.Vertices[i] = measure.Point{
			East:  readLength(at, "east", vertex.GetEast()),
			North: readLength(at, "north", vertex.GetNorth()),
		}
	}
	gates := v.At("gates")
	for i, g := range p.GetGates() {
		r.Gates = append(r.Gates, gateFromProto(gates.Index(i), g))
	}
	return r
}

func runToProto(r site.Run) *wattlev1.Run {
	p := &wattlev1.Run{
		Id: r.ID, Closed: r.Closed, Face: sides.wire[r.Face],
		Vertices: make([]*wattlev1.Vertex, len(r.Vertices)),
		Start:    terminusToProto(r.Start),
		End:      terminusToProto(r.End),
	}
	for i, at := range r.Vertices {
		p.Vertices[i] = &wattlev1.Vertex{East: at.East.String(), North: at.North.String()}
	}
	for _, g := range r.Gates {
		p.Gates = append(p.Gates, gateToProto(g))
	}
	return p
}

func terminusFromProto(v *fault.List, p *wattlev1.Terminus) site.Terminus {
	return site.Terminus{TieIn: p.GetTieIn(), WallGap: readLength(v, "wall_gap", p.GetWallGap())}
}

// terminusToProto is nil for a free end.
func terminusToProto(t site.Terminus) *wattlev1.Terminus {
	if t == (site.Terminus{}) {
		return nil
	}
	return &wattlev1.Terminus{TieIn: t.TieIn, WallGap: t.WallGap.String()}
}

func gateFromProto(v *fault.List, p *wattlev1.Gate) site.Gate {
	return site.Gate{
		ID:      p.GetId(),
		Station: readLength(v, "station", p.GetStation()),
		Width:   readLength(v, "width", p.GetWidth()),
		Leaves:  cmp.Or(int(p.GetLeaves()), 1),
		Hinge:   hinges.domain[p.GetHinge()],
		Swing:   sides.domain[p.GetSwing()],
	}
}

func gateToProto(g site.Gate) *wattlev1.Gate {
	return &wattlev1.Gate{
		Id: g.ID, Station: g.Station.String(), Width: g.Width.String(), Leaves: int32(g.Leaves),
		Hinge: hinges.wire[g.Hinge], Swing: sides.wire[g.Swing],
	}
}
