// Package layout places posts: site and spec in; posts, bays and gate openings
// out, exact to the nanometre, the same for every crew.
package layout

import (
	"wattle/internal/measure"
	"wattle/internal/timber"
)

// Layout is where everything stands. Indices refer to the slices of the same
// Layout. Posts are in walking order: run by run, by station, a shared post at
// its first visit. Stretches, bays and openings are in run order, by station.
type Layout struct {
	Posts     []Post
	Stretches []Stretch
	Bays      []Bay
	Openings  []Opening
	// Cautions are what the estimator should know and the engine did not
	// refuse: a fallback to even, a short stretch, runs that cross.
	Cautions []Caution
}

// Post is one post in the ground, counted once however many runs share it.
type Post struct {
	ID string // "P1", in walking order
	// Visits are the post's places along the runs that pass it; at least one.
	Visits []Visit
	At     measure.Point
	Role   Role
	Size   timber.Size
	Width  measure.Length // actual width of a square post
	// AboveGrade is from grade to the post top.
	AboveGrade measure.Length
	// Stock is the length bought.
	Stock measure.Length
	Hole  Hole
}

// Visit is a post's place on one run.
type Visit struct {
	Run     int // index into site.Site.Runs
	Station measure.Length
}

// Hole is a post hole. Depth = Gravel + Float + Embedment.
type Hole struct {
	Diameter, Depth, Gravel, Float, Embedment measure.Length
	// Governs names the rule that decided Depth: "minimum", "height",
	// "frost"; gate posts add "+gate".
	Governs string
}

// Role is what a post does; the higher role wins where two meet.
type Role int

const (
	Line Role = iota
	Bend
	Pinned
	Pull
	TieIn
	End
	Junction
	Corner
	GateLatch
	GateHinge
)

var roleNames = [...]string{"line", "bend", "pinned", "pull", "tie-in", "end", "junction", "corner", "gate latch", "gate hinge"}

func (r Role) String() string { return roleNames[r] }

// Roles lists every role from lightest to heaviest.
func Roles() []Role {
	roles := make([]Role, len(roleNames))
	for i := range roles {
		roles[i] = Role(i)
	}
	return roles
}

// Stretch is the straight part of a run between two neighbouring fixed posts
// that carries fence (a gate opening is an Opening, not a Stretch).
type Stretch struct {
	Run        int
	Start, End measure.Length // stations of the post centres
	StartEnd   StretchEnd
	FinishEnd  StretchEnd
	// FirstBay and Bays: Layout.Bays[FirstBay : FirstBay+Bays].
	FirstBay, Bays int
	// Method is what was used, after fallbacks.
	Method string
}

// Length is the stretch on centre.
func (s Stretch) Length() measure.Length { return s.End - s.Start }

// StretchEnd is how a stretch meets the fixed post at one of its ends.
type StretchEnd struct {
	Post int
	// Terminal: this stretch's rails end here (at a junction, the branch's do
	// and the through run's do not).
	Terminal bool
	// Gate: an opening begins on the other side of the post.
	Gate bool
	// Corner says how the run turns at this post, seen from the board face.
	Corner CornerKind
	// Covers: at a corner, this leg's boards (outside corner) run on over the
	// other leg's edge; the earlier leg covers.
	Covers bool
	// Wall: the boards run on to a wall face, this far from the post centre.
	Wall measure.Length
}

// CornerKind is how a run turns, seen from the face the boards stand on.
type CornerKind int

const (
	NoCorner CornerKind = iota
	OutsideCorner
	InsideCorner
)

// Bay is the piece of fence between two neighbouring posts.
type Bay struct {
	Stretch    int
	Start, End int            // posts
	Width      measure.Length // on centre
	// Printed is Width to 1/16 in, rounded cumulatively along the stretch so
	// that printed bays add up to the printed stretch.
	Printed measure.Length
	// Limit is the widest this bay may be.
	Limit measure.Length
	// Rail is the cut length of each rail of this bay: Width, plus w/2 at each
	// terminal post it laps, plus one rail thickness on the running leg of an
	// outside corner.
	Rail measure.Length
}

// Opening is a gate opening between two gate posts.
type Opening struct {
	Gate         string // site.Gate.ID
	Run          int
	Clear        measure.Length // between inner post faces
	Span         measure.Length // between post centres
	Leaves       int
	LeafWidth    measure.Length // of each leaf
	Start, End   int            // posts
	HingeAtStart bool
}

// Caution is something a person should look at. Code is stable
// (lower-kebab-case); Text is a sentence with figures.
type Caution struct {
	Code, Text string
	// Field is the part of the request it is about, where there is one.
	Field string
}
