// Package traverse turns a traverse, the bearings and distances of a plat, into
// vertices in local coordinates, says how well it closes and balances it.
package traverse

import (
	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Limits and the default of what a closing traverse must reach.
const (
	MaxLegs        = 1000
	MaxText        = 256 * MaxLegs // bytes
	LeastPrecision = 2000          // 1 in 2,000, common practice for fence lines
)

// Input is a traverse as it was written down: as Text (see below) or as Legs,
// not both.
//
// The text has a leg on each line; ";" and the word "thence" also stand between
// legs, and "#" starts a comment:
//
//	N 45-30-00 E 120.50 ft        # bearing (measure.ParseBearing), then length
//	thence S 10-15 E, 88' 6"
//	N45E 177.50 ft slope 3 %      # measured along a slope of 3 %
//	Az 248-05-35 29.705 m rise -3.658 m
type Input struct {
	Text  string
	Legs  []LegText
	Start measure.Point
	// Elevation of the start; used where a leg gives a rise or a slope.
	Elevation measure.Length
	// Closes: the traverse is to end where it started, or at To. A To says so
	// by itself.
	Closes bool
	To     *measure.Point
	// Balance what it misses by the compass rule.
	Balance bool
	// LeastPrecision is the N of the worst 1 in N that is accepted of a
	// traverse that closes; 0 is 2,000.
	LeastPrecision int64
}

// Result is a traverse run from its start.
//
// A traverse back to its start gives as many vertices as legs: the first is the
// start, the closing point is dropped. So if it is not balanced its last side,
// from the last vertex to the first, takes up what it misses. Any other
// traverse gives one vertex more than legs; a balanced one ends exactly at
// Input.To.
type Result struct {
	Legs     []Leg // as read, reduced to the horizontal, not balanced
	Vertices []measure.Point
	// Elevations at the vertices, as run; nil where no leg has a rise or slope.
	// A leg without one among others is level.
	Elevations []measure.Length
	// Closure is nil for a traverse that is not to close.
	Closure *Closure
}

// Run reads a traverse and runs it. Everything wrong with it is added to v and
// answered by false: under "text", with the number of the line, or under
// "legs[2].bearing" and the like; and under "closes", with the figures, where it
// closes worse than the limit.
func Run(v *fault.List, in Input) (Result, bool) {
	before := v.Len()
	checkInput(v, in)
	legs, graded := in.legs(v)
	if v.Len() > before {
		return Result{}, false
	}
	to := in.Start
	if in.To != nil {
		to = *in.To
	}
	closes := in.Closes || in.To != nil
	loop := closes && to == in.Start
	v.Require(!loop || len(legs) >= 3, "closes", "%d leg(s) cannot go around and back to the start; expected at least 3", len(legs))

	r := Result{Legs: legs, Vertices: run(legs, in.Start)}
	for i, p := range r.Vertices {
		if !inPlane(p) {
			v.Add("legs", "leg %d ends at %s; expected at most %s from the origin each way", i, place(p), farthest)
			return Result{}, false
		}
	}
	if graded {
		r.Elevations = elevations(legs, in.Elevation)
	}
	if closes {
		c := r.close(to, in.Balance)
		c.check(v, in.LeastPrecision)
		r.Closure = &c
	}
	if loop {
		r.Vertices = r.Vertices[:len(legs)]
		r.Elevations = r.Elevations[:min(len(legs), len(r.Elevations))]
	}
	return r, v.Len() == before
}

func checkInput(v *fault.List, in Input) {
	v.Require(inPlane(in.Start), "start", "%s; expected at most %s from the origin each way", place(in.Start), farthest)
	v.Require(within(in.Elevation), "elevation", "%s; expected at most %s", in.Elevation.Imperial(), farthest)
	if in.To != nil {
		v.Require(inPlane(*in.To), "to", "%s; expected at most %s from the origin each way", place(*in.To), farthest)
	}
	v.Require(in.LeastPrecision >= 0, "least_precision", "%d; expected the N of 1 in N, or 0 for %d", in.LeastPrecision, LeastPrecision)
	closes := in.Closes || in.To != nil
	v.Require(closes || !in.Balance, "balance", "only a traverse that closes can be balanced")
	v.Require(closes || in.LeastPrecision <= 0, "least_precision", "only a traverse that closes has a precision; expected closes beside it, or none")
}

var farthest = feetAndMetres(measure.MaxLength)

func place(p measure.Point) string { return "E " + p.East.Imperial() + ", N " + p.North.Imperial() }

func inPlane(p measure.Point) bool {
	return within(p.East) && within(p.North)
}

func within(l measure.Length) bool { return -measure.MaxLength <= l && l <= measure.MaxLength }

// run is the start and the end of each leg.
func run(legs []Leg, start measure.Point) []measure.Point {
	vertices := make([]measure.Point, 1, len(legs)+1)
	vertices[0] = start
	for _, leg := range legs {
		start = start.Add(measure.Step(leg.Bearing, leg.Distance))
		vertices = append(vertices, start)
	}
	return vertices
}

func elevations(legs []Leg, at measure.Length) []measure.Length {
	all := make([]measure.Length, 1, len(legs)+1)
	all[0] = at
	for _, leg := range legs {
		at += leg.Rise
		all = append(all, at)
	}
	return all
}
