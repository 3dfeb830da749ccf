package rpc

import (
	"slices"
	"strconv"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/arc"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// mostChords is the most chords that all arcs of a site are laid as: a request
// is small, and what it asks for must be as well.
const mostChords = 50_000

// curved is a run with arcs, to be laid as chords.
type curved struct {
	lr    *lineReader
	v     *fault.List // at the run
	run   *wattlev1.Run
	given []measure.Point // the request's vertices
	fence spec.Spec
	sound bool // they could be read

	out     line
	standAt []int // the given vertices in the line
}

func (c *curved) line() line {
	for i, point := range c.given {
		if i > 0 {
			c.lay(i-1, i)
		} else if !c.run.GetClosed() {
			c.v.At("vertices").Index(0).Require(c.run.GetVertices()[0].GetArc() == nil, "arc", "an open run has no side before its first vertex; leave the arc out")
		}
		c.standAt = append(c.standAt, len(c.out.vertices))
		c.add(point, "vertices["+strconv.Itoa(i)+"]")
	}
	if c.run.GetClosed() {
		c.lay(len(c.given)-1, 0)
	}
	for _, vertex := range c.run.GetChords() {
		if c.v.Require(vertex >= 0 && int(vertex) < len(c.standAt), "chords", "there is no vertex %d", vertex) {
			c.out.chords = append(c.out.chords, c.standAt[vertex])
		}
	}
	for i := range c.given {
		if c.smooth(i) {
			c.out.chords = append(c.out.chords, c.standAt[i])
		}
	}
	slices.Sort(c.out.chords)
	c.out.chords = slices.Compact(c.out.chords)
	return c.out
}

func (c *curved) add(point measure.Point, field string) {
	c.out.vertices = append(c.out.vertices, point)
	c.out.origin.vertices = append(c.out.origin.vertices, source{field: field})
}

// lay adds the points between two neighbouring vertices where the arc that joins
// them, if one does, is laid as chords.
func (c *curved) lay(from, to int) {
	if c.run.GetVertices()[to].GetArc() == nil {
		return
	}
	field := "vertices[" + strconv.Itoa(to) + "].arc"
	v, before := c.v.At(field), c.v.Len()
	text := c.run.GetVertices()[to].GetArc().GetRadius()
	v.Require(text != "", "radius", "expected the radius of the arc")
	radius := readLength(v, "radius", text)
	if !c.sound || v.Len() > before || c.lr.chords < 0 {
		return
	}
	limit := arc.Spacing(c.fence.Curves, radius)
	if radius > 0 && !v.Require(limit > 0, "radius", "spec.curves has no row for arcs as tight as %s", radius.Imperial()) {
		return
	}
	points, err := arc.Chords(c.curve(from, to), limit)
	if err != nil {
		v.Add("", "%v", err)
		c.lr.chords -= 1 + arc.MaxChords/10 // about the work of finding out
	} else {
		c.lr.chords -= len(points)
	}
	v.Require(c.lr.chords >= 0, "", "with it the arcs of the site take too long to lay; expected at most %d chords in all", mostChords)
	for _, point := range points {
		c.out.chords = append(c.out.chords, len(c.out.vertices))
		c.add(point, field)
	}
}

func (c *curved) curve(from, to int) arc.Curve {
	a := c.run.GetVertices()[to].GetArc()
	radius, _ := measure.Parse(a.GetRadius()) // lay has noted what is wrong with it
	return arc.Curve{From: c.given[from], To: c.given[to], Radius: radius, Left: sides.domain[a.GetTurns()] == site.Left}
}

// smooth reports whether an arc runs on at the vertex without a turn that a post
// would be there for: the turn that its chords make there is none of the line's.
func (c *curved) smooth(vertex int) bool {
	n := len(c.given)
	before, after := (vertex+n-1)%n, (vertex+1)%n
	if !c.run.GetClosed() && (vertex == 0 || vertex == n-1) ||
		c.run.GetVertices()[vertex].GetArc() == nil && c.run.GetVertices()[after].GetArc() == nil {
		return false
	}
	_, in, known := c.directions(before, vertex)
	out, _, alsoKnown := c.directions(vertex, after)
	turn := (out - in + 540*measure.Degree) % (360 * measure.Degree)
	return known && alsoKnown && c.fence.Classify(turn-180*measure.Degree) == spec.Bends
}

// directions are those of travel at the ends of a side, arc or straight.
func (c *curved) directions(from, to int) (start, end measure.Angle, known bool) {
	if c.run.GetVertices()[to].GetArc() != nil {
		start, end, err := arc.Tangents(c.curve(from, to))
		return start, end, err == nil
	}
	d := c.given[to].Sub(c.given[from])
	along := measure.Direction(d.East, d.North)
	return along, along, d != measure.Point{}
}
