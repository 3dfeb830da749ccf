// Package layout places posts: site and spec in; posts, bays and gate openings
// out, exact to the nanometre, the same for every crew.
package layout

import (
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// Layout is where everything stands. Indices refer to the slices of the same
// Layout. Posts are in walking order: run by run, by station, a shared post at
// its first visit. Stretches, bays and openings are in run order, by station.
// Where a stretch goes on through the start of a closed run it is the run's
// last, and its posts past the start are the last as well.
type Layout struct {
	Posts     []Post
	Stretches []Stretch
	Bays      []Bay
	Openings  []Opening
	// Barred are the intervals in which no hole is dug, by run and station: the
	// site's keep-outs, and what its obstacles bar.
	Barred []Barred
	// Cautions are what the estimator should know and the engine did not
	// refuse: a fallback to even, a short stretch, runs that cross. See the
	// Code of Caution.
	Cautions []Caution
}

// Post is one post in the ground, counted once however many runs share it: runs
// whose ends, vertices or gate posts come within 1/8 in of one another meet in
// one post, and so do an end and the leg it comes to, and legs that cross. No two
// posts stand in one another. It stands where the first of them has it, takes the
// heaviest role, the larger section, which is the terminal one at least where
// the role is terminal, and the hole and stock of a gate post if it is one.
type Post struct {
	ID string // "P1", in walking order
	// Visits are the post's places along the runs that pass it; at least one.
	Visits []Visit
	At     measure.Point
	Role   Role
	Size   section.Section
	Width  measure.Length // actual, of a round post the diameter
	// AboveGrade is from grade to the post top.
	AboveGrade measure.Length
	// Ground is the elevation of grade at the post.
	Ground measure.Length
	// Stock is the length bought.
	Stock measure.Length
	Hole  Hole
	// Existing: an old post that is kept; it has no Stock and no Hole.
	Existing bool
	// Because says why the post is what it is where its place alone does not.
	Because Because
}

// Top is the elevation of the post top.
func (p Post) Top() measure.Length { return p.Ground + p.AboveGrade }

// Because is what an alignment rule found at a post.
type Because string

const (
	ByAnchor     Because = "anchor"       // the line turns: an intermediate anchor
	ByConcrete   Because = "concrete-set" // the line turns a little: set in concrete
	ByGradeBreak Because = "grade-break"  // the grade turns
	ByPull       Because = "long-pull"    // the straight is long
)

// Barred is an interval of a run in which no hole is dug; a hole may touch its
// edges. Of an obstacle it is where its clearance reaches the run; where only
// the width of a line hole reaches it, the places that this bars to posts.
type Barred struct {
	Run      int
	ID       string // of the keep-out or the obstacle
	From, To measure.Length
}

// Visit is a post's place on one run.
type Visit struct {
	Run     int // index into site.Site.Runs
	Station measure.Length
}

// Hole is a post hole. Depth = Gravel + Float + Embedment.
type Hole struct {
	Diameter, Depth, Gravel, Float, Embedment measure.Length
	// Governs names the rule that decided Depth: "minimum", "height", "frost",
	// "terminal" (the depth of terminal holes); gate posts add "+gate" to the
	// first three. "driven": there is no hole, see Driven.
	Governs string
}

// Driven reports that the post is driven and no hole is dug: Diameter is the post's width,
// Depth the Embedment.
func (h Hole) Driven() bool { return h.Governs == string(spec.ByDriving) }

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

// Terminal reports a role that takes the section and the hole of a terminal post,
// or a gate's.
func (r Role) Terminal() bool { return r >= Pull }

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
	Run int
	// Start and End are the stations of the post centres. Where a closed run's
	// first vertex takes no post, since it lies within a straight side, the
	// stretch goes on through it: End is then Start and the length, past the
	// length of the run.
	Start, End measure.Length
	StartEnd   StretchEnd
	FinishEnd  StretchEnd
	// FirstBay and Bays: Layout.Bays[FirstBay : FirstBay+Bays].
	FirstBay, Bays int
	// Method is what was used, after fallbacks.
	Method string
	// Stepped: the rails are level and each bay drops; else they follow the
	// ground.
	Stepped bool
}

// Length is the stretch on centre.
func (s Stretch) Length() measure.Length { return s.End - s.Start }

// Along is how long a stretch is along the ground from post to post, as highway
// specifications measure fence [DT-1, Caltrans s. 80]; on a site without ground
// it is its Length.
func (l *Layout) Along(s Stretch) measure.Length {
	var along measure.Length
	for _, b := range l.Bays[s.FirstBay : s.FirstBay+s.Bays] {
		if b.Rise == 0 {
			along += b.Width
		} else {
			along += measure.Hypot(b.Width, b.Rise)
		}
	}
	return along
}

// StretchEnd is how a stretch meets the fixed post at one of its ends.
type StretchEnd struct {
	Post int
	// Terminal: this stretch's rails end here. Of three or more runs' ends and
	// passing runs that share a post, the ends are terminal and a run that
	// passes is what it would be alone; where none passes, the two ends that
	// are most nearly in line go on as one run that does.
	Terminal bool
	// Gate: an opening begins on the other side of the post.
	Gate bool
	// Corner says how the run turns at this post, seen from the board face: at
	// a vertex, or where just two ends meet, of one run or of two.
	Corner CornerKind
	// Covers: at a corner, this leg's boards (outside corner) run on over the
	// other leg's edge. The earlier leg covers: the one of lower stations, a
	// closed run's last at its first vertex; of two runs the one listed first.
	// Neither does where a gate begins at the corner.
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
	// Limit is the widest this bay may be: the spec's widest, and where its rail
	// laps terminal posts at most the rail stock less w/2 of each, and less a
	// rail thickness beside an outside corner, on either leg; hung between posts
	// at most the stock and half of each post, less what goes into them and more
	// by the brackets. Each racked bay has its own.
	Limit measure.Length
	// Rail is the cut length of each rail of this bay, or panel in it: Width,
	// plus w/2 at each terminal post it laps, plus one rail thickness where this
	// leg covers an outside corner. Where rails end at the centres of terminal
	// posts, or hang free, it is Width. Hung between posts it is what is clear
	// between them, and what goes into them, less the brackets. It never passes
	// the rail stock. A racked rail runs along the slope and is longer in
	// proportion, and by the plumb cut where there is one.
	Rail measure.Length
	// Rise is the ground at the bay's end less that at its start. It and what
	// follows is zero on a site without ground.
	Rise measure.Length
	// Top is the elevation of the board tops: of a stepped bay the highest
	// ground under it and the height; of a racked bay that at its start, from
	// where they follow the rise.
	Top measure.Length
	// MostGap and LeastGap are the widest and the narrowest gap between grade
	// and the bottom of the boards, before any fill; below zero the ground
	// stands higher than the boards' lower ends.
	MostGap, LeastGap measure.Length
	// Fill is how far the boards are lengthened at most, or how high the kick
	// board must be, to leave the ground clearance; zero where MostGap is no
	// wider than the spec allows, or is left.
	Fill measure.Length
}

// Opening is a gate opening between two gate posts.
type Opening struct {
	Gate string // site.Gate.ID
	Run  int
	// Clear is the opening between the inner post faces as the site gives it;
	// leaves are made for it. Span is what the post centres are apart: Clear and
	// half of each post, but for up to 1/8 in where a post is also an end's, a
	// corner's or the next gate's, and more where that one is thicker (a
	// caution says so).
	Clear, Span measure.Length
	Leaves      int
	LeafWidth   measure.Length // of each leaf, rounded down
	Start, End  int            // posts
	// HingeAtStart: a single leaf hangs at the lower station.
	HingeAtStart bool
	// Slides: one cantilever leaf, LeafWidth long, half as long again as the
	// clear opening, slides past the fence at the end where a single leaf would
	// hang. Two roller posts carry it: the post at that end and Roller, half the
	// opening on and beside the line of the fence, on the side of the gate's
	// Swing, so that it is none of Layout.Posts and has no Visits. Its ID is that
	// of the first with an R: "P7R". Nil for leaves that swing.
	//
	// The leaf runs between the two, in the 6 in from face to face, and so clear
	// of the posts of the fence: the carriages stand in one line under it, the
	// first on that post's side toward the leaf, the second on Roller's side
	// toward the fence (common practice is either that or both posts in the line
	// of the fence, which here has posts of its own at its bays).
	Slides bool
	Roller *Post
}
