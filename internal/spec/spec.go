// Package spec is the fence specification: what kind of fence, of which
// posts, rails and boards, set how deep, laid out by which method. Every
// default of the trade is a named field here, filled by WithDefaults and
// echoed in every result; nothing in the counting is a hidden constant.
package spec

import (
	"github.com/govalues/decimal"

	"wattle/internal/arc"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/timber"
)

// Spec is a fence specification. A zero field takes its default from
// WithDefaults (pointers mark the fields for which zero is a value of its
// own). It is large: what only looks at it takes a pointer, and leaves it as it
// is.
type Spec struct {
	Name   string
	Family Family
	// Height is from grade to the top of the boards: ground clearance plus
	// board length.
	Height          measure.Length
	GroundClearance *measure.Length // 2 in
	// CornerAngle is the turn from which a vertex is a corner; below it the
	// vertex is a bend or what Alignment says. Default that of the rule set, 10
	// degrees in the trade's.
	CornerAngle measure.Angle
	// Access is the least width beside the fence to work in on the board side.
	// Default 24 in (common practice).
	Access *measure.Length

	Alignment Alignment
	Slope     Slope
	// Curves are the longest chords of arcs by radius, radii descending: a row
	// holds from its radius on. Default one row: Layout.MaxBay on any radius; of
	// chain link arc.ChainLink, no chord wider than MaxBay [LAY-6].
	Curves    []arc.Limit
	Layout    Layout
	Posts     Posts
	Holes     Holes
	Concrete  Concrete
	Rails     Rails
	Boards    Boards
	Fasteners Fasteners
	Gates     Gates
	Labour    Labour
	Waste     Waste
	Extras    Extras
	Moisture  Moisture
	// Details are the particulars of the family (see Definition.Details).
	Details Details
	// Kerf is what a saw cut takes when sticks are cut. Default 1/8 in.
	Kerf *measure.Length
	// Items names the price-book items to buy, where they are not the ones
	// the take-off names by rule (see takeoff.Candidates): default name to
	// the company's own.
	Items map[string]string
}

// Layout says how a stretch is shared into bays.
type Layout struct {
	Method Method // Even
	// MaxBay is the widest bay, on centre. Default 8 ft.
	MaxBay measure.Length
	// Hang says how what spans a bay meets its posts. Default that of the family;
	// Lapped where it has none.
	Hang Hang
	// RailStock is the stick that one bay's rail is cut from; it limits bays
	// beside terminal posts. Default the shortest of Rails.Stock that is at
	// least MaxBay; MaxBay where none is. Hung between posts it may also be the
	// width of a panel. Free: zero, no limit.
	RailStock measure.Length
	// Insertion is how far each end of what hangs between posts goes into the
	// post's mortise; BracketGap what a bracket leaves open at each end. Between
	// only.
	Insertion, BracketGap measure.Length
	// TerminalLimit, of lapped rails: they lap the face of a terminal post and
	// run to its outer edge, so the bay beside it is at most RailStock - w/2, less
	// a rail thickness beside an outside corner. Default true; off, rails end at
	// the terminal post's centre.
	TerminalLimit *bool
	// ShortEnd is where remainder and feathered put the short bays.
	ShortEnd End
	// Feather is the number of bays at each short end that share the rest.
	// Default 2; feathered only.
	Feather int
	// MinBay: a method that would leave a narrower bay widens its feather,
	// then falls back to even, and says so. Default MaxBay / 3; of what hangs
	// between posts RailStock / 3 where that is less.
	MinBay *measure.Length
}

// Hang is how what spans a bay meets the posts at its ends.
type Hang string

const (
	// Lapped: rails lap the faces of posts, to the outer edge of terminal ones.
	Lapped Hang = "lapped"
	// Between: rails or panels end between the posts, in brackets or mortises:
	// their length is the bay less half of each post, plus twice the insertion,
	// less twice the bracket gap.
	Between Hang = "between"
	// Free: nothing that spans a bay limits it, since wire, fabric and rails
	// that are joined anywhere go on through.
	Free Hang = "free"
)

// Method is a way to share a stretch into bays.
type Method string

const (
	Even      Method = "even"
	Remainder Method = "remainder"
	Feathered Method = "feathered"
)

// End is an end of a stretch, or both.
type End string

const (
	Finish End = "finish" // the higher station, the default
	Start  End = "start"
	Both   End = "both" // feathered only
)

// Posts says which posts stand.
type Posts struct {
	Size section.Section // 4x4
	// TerminalSize is the section of end, corner, junction, pull and tie-in
	// posts. Default Size.
	TerminalSize section.Section
	// GateSize is the section of gate posts. Empty: by rule, one that carries
	// leaves of opening / leaves (common practice, see GatePostSize), and no
	// lighter than TerminalSize.
	GateSize section.Section
	// Stock lengths that can be bought, ascending. Default 8, 10, 12 ft.
	Stock []measure.Length
	// AboveBoards is how far the post top stands above the board tops
	// (negative: below). Default 0.
	AboveBoards measure.Length
	// Caps: a cap on every post. Default true.
	Caps *bool
}

// Holes says how deep and wide posts are set.
type Holes struct {
	// Rules names a set of published figures (see HoleSets), which fills the
	// fields that are left out. Default "by-size": as each field says.
	Rules string
	// MinDepth is a least depth to the bottom of the hole, gravel included.
	MinDepth measure.Length
	// ByHeight: the depth is also at least 24 in + 3 in per foot of height
	// over 4 ft. Default true.
	ByHeight *bool
	// FrostDepth and FrostMargin: where FrostDepth is set the hole reaches
	// FrostDepth + FrostMargin.
	FrostDepth, FrostMargin measure.Length
	// Gravel under the post. Default 6 in; none where all posts are driven
	// (Concrete.Set), which have no hole for it, for Float or for Crown.
	Gravel *measure.Length
	// Float leaves the post this far above the gravel. Default 0.
	Float measure.Length
	// Diameter of a line hole. Default 3 x the post's nominal width (common
	// practice); of steel pipe 4 x the outside diameter up to 4 in, 3 x above
	// [AS-2].
	Diameter measure.Length
	// TerminalDiameter and TerminalDepth are those of the holes of terminal
	// posts; a depth that the other rules pass does not count. Default: the
	// diameter by the post's own size and no less than the line holes', the line
	// holes' depth.
	TerminalDiameter, TerminalDepth measure.Length
	// GateExtraDepth deepens gate holes. Default 6 in.
	GateExtraDepth *measure.Length
}

// Concrete says how holes are filled.
type Concrete struct {
	Set Setting // WetSet
	// BagPounds is the weight of a bag. Default 80.
	BagPounds int
	// YieldPerPound is the mixed volume in ft3 per pound of mix. Default
	// 0.0075 [CON-1].
	YieldPerPound decimal.Decimal
	// StopBelowGrade leaves the top of the hole to soil.
	StopBelowGrade measure.Length
	// Crown is the height of the cone that sheds water above grade.
	Crown measure.Length
}

// Setting is how concrete goes into holes.
type Setting string

const (
	WetSet Setting = "wet-set" // mixed, shared between holes: round up once per job
	DrySet Setting = "dry-set" // whole bags into each hole: round up per hole
	NoSet  Setting = "none"    // tamped soil or gravel, no concrete
	Driven Setting = "driven"  // driven into the ground: no hole, no gravel; T posts always are
)

// Poured reports whether concrete goes into the holes.
func (s Setting) Poured() bool { return s == WetSet || s == DrySet }

// Rails says which rails are hung.
type Rails struct {
	Size timber.Size // 2x4
	// Count per bay. Default by height: 2 up to 4 ft, 3 up to 6 ft, 4 up to
	// 8 ft (common practice).
	Count int
	// TopReveal and BottomReveal are how far boards run past the outer edges
	// of the top and bottom rail. Default 6 in.
	TopReveal, BottomReveal *measure.Length
	// Stock lengths that can be bought, ascending. Default 8, 12, 16 ft.
	Stock []measure.Length
	// MaxSpan is the most bays that one piece spans, 1 or 2: with 2 it goes over
	// two bays where a stock reaches and that is no dearer, its joints on the
	// centres of line posts, staggered from rail to rail. Default 1.
	MaxSpan int
}

func (r Rails) isZero() bool {
	return r.Size == "" && r.Count == 0 && r.TopReveal == nil && r.BottomReveal == nil && len(r.Stock) == 0 && r.MaxSpan == 0
}

// Boards says which boards are hung.
type Boards struct {
	Size timber.Size // 1x6
	// Width and Thickness are actual. Default: the dressed size.
	Width, Thickness measure.Length
	// Pattern is how upright boards stand. Default SideBySide.
	Pattern Pattern
	// Gap between boards as installed. Default 0 (butted). Of a shadow box, that
	// between the boards of one face.
	Gap measure.Length
	// Overlap is how far a board on board covers each neighbour: more than zero
	// and less than half a board. BoardOnBoard only; a shadow box takes its
	// overlap from the gap, (width - gap) / 2.
	Overlap measure.Length
	// MinRip is the narrowest rip worth hanging. Default 1-1/2 in.
	MinRip *measure.Length
	// MaxGap: where set, a last rip under MinRip may be left out and the gaps
	// opened evenly up to MaxGap.
	MaxGap measure.Length
	// StartAt is the end of a stretch where the first whole board stands.
	// Default StartVisible: the gate side; with no gate or two, the lower
	// station.
	StartAt StartSide
	// Stock is the board length bought. Default: the shortest whole foot that
	// is at least height - ground clearance.
	Stock measure.Length
}

// Pattern is how boards stand to one another.
type Pattern string

const (
	SideBySide   Pattern = "side-by-side"   // one row, butted or with a gap
	Spaced       Pattern = "spaced"         // one row of pickets, a gap between them
	BoardOnBoard Pattern = "board-on-board" // two rows on one face, the front over the gaps of the back
	ShadowBox    Pattern = "shadow-box"     // two rows, on alternate faces of the rails
)

// StartSide is the end of a stretch at which boards start.
type StartSide string

const (
	StartVisible StartSide = "visible"
	StartLow     StartSide = "low-station"
	StartHigh    StartSide = "high-station"
)

// Fasteners says which nails are driven.
type Fasteners struct {
	// BoardNail and RailNail are penny sizes: "8d". Defaults 8d and 16d;
	// BoardNail by FAS-2.
	BoardNail, RailNail string
	// PerBoardPerRail and PerRailEnd are nails driven. Default 2 and 2.
	PerBoardPerRail, PerRailEnd int
	// NailsPerPound turns counts into pounds. Default FAS-1.
	NailsPerPound map[string]int
	// ScrewsPerRailEnd are the self-drilling screws that hold a rail end's
	// bracket to a steel post. Default 4 (common practice).
	ScrewsPerRailEnd int
	// Coating of nails and screws. Default hot-dip galvanized.
	Coating Coating
}

// Coating is what keeps fasteners from rusting.
type Coating string

const (
	HotDip    Coating = "hot-dip-galvanized"
	Stainless Coating = "stainless"
	Bright    Coating = "bright" // none: a caution in treated wood, cedar and redwood
)

// Labour is the work counted with the material. Rates are price-book entries.
type Labour struct {
	// Exclude: the job's labour is priced elsewhere.
	Exclude bool
	// By says what hours are counted by. Default ByFence.
	By LabourBy
	// Crew is the number of people; HoursPerDay what each works in a day. They
	// make days of hours. Defaults 3 and 8; ByTasks only.
	Crew        int
	HoursPerDay decimal.Decimal
	// Equipment are the items rented by the day while the crew is there, by
	// their own names: "auger" is the item equipment-auger. ByTasks only.
	Equipment []string
}

// LabourBy is what labour is counted by.
type LabourBy string

const (
	ByFence LabourBy = "fence" // one rate for a foot of fence, one for a gate leaf
	ByTasks LabourBy = "tasks" // a rate for each task, with factors for soil, slope, access and season
)

// Waste is added per category, in percent. A nil field takes its default.
type Waste struct {
	Boards, Rails, Concrete, Gravel, Fasteners *decimal.Decimal // 5, 0, 0, 10, 5
}
