// Package site is everything measured on the ground for one job: fence runs,
// the gates in them, how each run begins and ends, the lie of the land, and
// where no hole may be dug.
package site

import "wattle/internal/measure"

// Site is one job's ground.
//
//	house wall
//	====================
//	|                  |
//	| run "yard"       |
//	+-------[gate]-----+
//	      ////         keep-out
type Site struct {
	Runs []Run
	// Obstacles are things in plan that no hole may be dug near; each bars an
	// interval of every run that passes it (see Site.Barred).
	Obstacles []Obstacle
	// Conditions are what the job finds around the fence.
	Conditions Conditions
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
	// Chords are the indices, ascending, of the vertices inside a declared arc:
	// the run curves there, so they are bends whatever their angle.
	Chords []int
	Closed bool
	// Start and End say what the run's ends stand against; both are ignored
	// for a closed run.
	Start, End Terminus
	// Face is the side of the run, walking it, on which the boards stand.
	Face  Side
	Gates []Gate
	// Ground is the elevation of grade at stations, ascending, linear between
	// them and level before the first and past the last. Empty: level at zero.
	// It is at most 1 in 1 steep, within MaxElevation, and in a closed run as
	// high at the last point as at the first. See Profile.
	Ground []GroundPoint
	// KeepOuts are intervals in which no hole may be dug.
	KeepOuts []KeepOut
	// Pins are posts whose place the user decides.
	Pins []Pin
	// Slopes are the parts of the run that follow the ground in another way
	// than the spec says. They do not overlap; a post stands at each of their
	// ends, but for one within a gate's opening, which parts them itself.
	Slopes []SlopePart
	// Neighbours are existing fences that stand along the run.
	Neighbours []Neighbour
}

// Terminus is how a run ends. The zero Terminus is a free end.
type Terminus struct {
	// TieIn: the run starts at a wall face, its post beside the wall.
	TieIn bool
	// WallGap is left between the wall face and the near face of the tie-in
	// post (zero: the post stands against the wall).
	WallGap measure.Length
	// LinePostOf names a run, listed before this one and with no such end of
	// its own, at whose nearest line post this run ends: the vertex moves there,
	// the post becomes a junction, and no post of the named run moves. Stations
	// of this run are measured with the vertex moved.
	LinePostOf string
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
	// Slides: a cantilever leaf that slides past the fence at the end where a
	// single leaf would hang (Hinge), on two roller posts there; at the other end
	// stands a catch post. It has one leaf.
	Slides bool
}

// Hinge is the end of a gate opening at which a single leaf hangs.
type Hinge int

const (
	// HingeStart: at the lower station.
	HingeStart Hinge = iota
	// HingeFinish: at the higher station.
	HingeFinish
)

// GroundPoint is the elevation of grade at a station of a run, over the site's
// own datum; elevations may be negative.
type GroundPoint struct {
	Station, Elevation measure.Length
}

// KeepOut is an interval of a run's stations in which no post hole may be dug:
// a gas service, a culvert, a root. A hole may touch its edges. It begins on the
// run; past the end of an open run it may reach.
type KeepOut struct {
	// ID names it in messages and drawings; unique within the run, or empty.
	ID       string
	From, To measure.Length
}

// Obstacle is a thing in plan that holes keep away from: a point (one vertex,
// such as a tree) or a line (a gas service, a drain). A site has at most 1,000,
// of at most 1,000 vertices each and 10,000 in all.
type Obstacle struct {
	// ID is unique within the site.
	ID   string
	Path []measure.Point
	// Clearance is how far from the path no hole may be.
	Clearance measure.Length
}

// Pin is a post whose place the user decides. No two are within 1/8 in of one
// another; a closed run's start and end are one place.
type Pin struct {
	Station measure.Length
	// Existing: an old post that is kept by choice. It is neither bought nor
	// set, no hole is dug for it, and the answer says what the choice means.
	Existing bool
}

// SlopePart is a part of a run that is stepped, or racked, whatever the spec
// says.
type SlopePart struct {
	From, To measure.Length
	Stepped  bool
}

// Neighbour is an existing fence beside the run; neighbours may overlap.
type Neighbour struct {
	From, To measure.Length
	// Side of the run on which it stands, Gap from the line of post centres to
	// it: what is left to work in.
	Side Side
	Gap  measure.Length
}
