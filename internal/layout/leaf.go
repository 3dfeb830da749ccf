package layout

import (
	"fmt"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// leaf is where a leaf that slides lies when it is open: from the opening back
// over all its width, beside the fence on the side of the gate's swing, in the
// room between the faces of the two roller posts. Closed, its tail lies in the
// same room.
type leaf struct {
	from, to measure.Length // stations
	leg      int32
	corners  [4]measure.Point // around it
}

// openLeaf is where the leaf of gate g, on a leg, lies when it is open, post
// being as wide as the first roller post. At its far end 1/8 in counts as clear,
// so that it may reach a corner.
func (p *planner) openLeaf(g *site.Gate, leg int32, post measure.Length) leaf {
	l := leaf{from: g.Station - p.leaf(*g), to: g.Station, leg: leg}
	far := [2]measure.Length{together, 0}
	if g.Hinge == site.HingeFinish {
		l.from, l.to = g.Station+g.Width, g.Station+g.Width+p.leaf(*g)
		far = [2]measure.Length{0, together}
	}
	on, near := &p.legs[leg].Leg, post/2
	from, to := l.from+far[0], l.to-far[1]
	l.corners = [4]measure.Point{
		besideLeg(on, from, near, g.Swing), besideLeg(on, to, near, g.Swing),
		besideLeg(on, to, near+slideRoom, g.Swing), besideLeg(on, from, near+slideRoom, g.Swing),
	}
	return l
}

// besideLeg is the point so far off a leg at a station, on one side of it.
func besideLeg(l *site.Leg, station, off measure.Length, to site.Side) measure.Point {
	along := l.To.Sub(l.From)
	aside := measure.Point{East: -along.North, North: along.East}
	if to == site.Right {
		aside = measure.Point{East: along.North, North: -along.East}
	}
	return l.At(station).Add(measure.Lerp(measure.Point{}, aside, off, l.Length()))
}

// meets reports whether any of the straight line from a to b, which may be one
// point, lies where the leaf does.
func (l *leaf) meets(a, b measure.Point) bool {
	if noneOf(a.East, b.East, l.corners, func(p measure.Point) measure.Length { return p.East }) ||
		noneOf(a.North, b.North, l.corners, func(p measure.Point) measure.Length { return p.North }) {
		return false
	}
	inside := true // whether a is
	for i, c := range l.corners {
		d := l.corners[(i+1)%4]
		if side(c, d, a) != side(c, d, b) && side(a, b, c) != side(a, b, d) {
			return true
		}
		inside = inside && side(c, d, a) == side(c, d, l.corners[(i+2)%4])
	}
	return inside
}

// noneOf reports extents, from a to b and of the corners, that have nothing in
// common.
func noneOf(a, b measure.Length, corners [4]measure.Point, along func(measure.Point) measure.Length) bool {
	low, high := along(corners[0]), along(corners[0])
	for _, c := range corners[1:] {
		low, high = min(low, along(c)), max(high, along(c))
	}
	return max(a, b) < low || min(a, b) > high
}

// opensOver reports whether the open leaf lies over any of a gate's opening on
// the same run.
func (l *leaf) opensOver(g *site.Gate) bool {
	return l.from+together < g.Station+g.Width && g.Station < l.to-together
}

// checkLeaves notes leaves that would run over another gate's opening, or into
// another fence or another leaf, and cautions about obstacles in their way.
func (p *planner) checkLeaves(runs *fault.List) {
	for i := range p.sliders {
		s := &p.sliders[i]
		run := p.out.Openings[s.opening].Run
		r := &p.site.Runs[run]
		at := runs.Index(run).At("gates").Index(s.gate)
		whose := fmt.Sprintf("the open leaf of gate %q, from %s to %s,", r.Gates[s.gate].ID, p.at(run, s.leaf.from), p.at(run, s.leaf.to))
		for j := range r.Gates {
			other := &r.Gates[j]
			at.Require(j == s.gate || !s.leaf.opensOver(other) || p.within(s, other), "station",
				"%s would cover the opening of gate %q", whose, other.ID)
		}
		on := "left"
		if r.Gates[s.gate].Swing == site.Right {
			on = "right"
		}
		told := int32(none)
		for j := range p.legs {
			if l := &p.legs[j]; int32(j) != s.leaf.leg && l.run != told && s.leaf.meets(l.From, l.To) {
				told = l.run // legs are run by run
				at.Add("station", "%s would run into run %q on the %s of the fence", whose, p.site.Runs[l.run].ID, on)
			}
		}
		for j := range p.sliders[:i] {
			if o := &p.sliders[j]; p.collide(s, o) {
				first := p.out.Openings[o.opening]
				at.Add("station", "%s and that of gate %q of run %q would run into one another", whose, first.Gate, p.site.Runs[first.Run].ID)
			}
		}
		p.cautionUnderLeaf(s, whose)
	}
}

// collide reports leaves that lie in one another, neither over the other's
// opening, which is told by itself.
func (p *planner) collide(a, b *slider) bool {
	runA, runB := p.out.Openings[a.opening].Run, p.out.Openings[b.opening].Run
	if runA == runB && (a.leaf.opensOver(&p.site.Runs[runB].Gates[b.gate]) || b.leaf.opensOver(&p.site.Runs[runA].Gates[a.gate])) {
		return false
	}
	for i, c := range b.leaf.corners {
		if a.leaf.meets(c, b.leaf.corners[(i+1)%4]) {
			return true
		}
	}
	return b.leaf.meets(a.leaf.corners[0], a.leaf.corners[0]) // all of one in the other
}

// cautionUnderLeaf tells of obstacles where a leaf lies: what is under the
// ground is out of its way, and the site does not say.
func (p *planner) cautionUnderLeaf(s *slider, whose string) {
	run := p.out.Openings[s.opening].Run
	for _, o := range p.site.Obstacles {
		for i, from := range o.Path {
			if s.leaf.meets(from, o.Path[min(i+1, len(o.Path)-1)]) {
				p.tell("obstacle-under-leaf", fmt.Sprintf("site.runs[%d].gates[%d]", run, s.gate),
					"Obstacle %q lies where %s slides; whatever stands higher than the foot of the leaf is in its way.", o.ID, whose)
				break
			}
		}
	}
}
