// Package site is everything measured on the ground for one job: fence runs,
// the gates in them, and how each run begins and ends.
package site

import "wattle/internal/measure"

// Site is one job's ground. It is level unless a later field says otherwise.
//
//	house wall
//	====================
//	|                  |
//	| run "yard"       |
//	+-------[gate]-----+
type Site struct {
	Runs []Run
}

// Run is one continuous fence line. Its polyline is the line of post centres,
// except that a tied-in end starts at the wall face. Stations are measured
// along the polyline in plan from Vertices[0].
type Run struct {
	// ID is unique within the site; it names the run in every answer.
	ID string
	// Vertices in local coordinates. A closed run does not repeat its first
	// vertex.
	Vertices []measure.Point
	Closed   bool
	// Start and End say what the run's ends stand against; both are ignored
	// for a closed run.
	Start, End Terminus
	// Face is the side of the run, walking it, on which the boards stand.
	Face  Side
	Gates []Gate
}

// Terminus is how a run ends. The zero Terminus is a free end.
type Terminus struct {
	// TieIn: the run starts at a wall face, its post beside the wall.
	TieIn bool
	// WallGap is left between the wall face and the near face of the tie-in
	// post (zero: the post stands against the wall).
	WallGap measure.Length
}

// Side is a side of a run for somebody walking it from its start.
type Side int

const (
	Left Side = iota
	Right
)

// Gate is one opening in a run.
type Gate struct {
	// ID is unique within the site.
	ID string
	// Station is where the clear opening starts, from the start of the run.
	Station measure.Length
	// Width is the clear opening between the inner faces of the gate posts.
	Width measure.Length
	// Leaves is 1 (single) or 2 (a pair).
	Leaves int
	// Hinge says at which end of the opening a single leaf hangs.
	Hinge Hinge
	// Swing is the side of the run to which the leaf opens.
	Swing Side
}

// Hinge is the end of a gate opening at which a single leaf hangs.
type Hinge int

const (
	// HingeStart: at the lower station.
	HingeStart Hinge = iota
	// HingeFinish: at the higher station.
	HingeFinish
)
