// Package spec is the fence specification: what kind of fence, of which
// posts, rails and boards, set how deep, laid out by which method. Every
// default of the trade is a named field here, filled by WithDefaults and
// echoed in every result; nothing in the counting is a hidden constant.
package spec

import (
	"github.com/govalues/decimal"

	"wattle/internal/arc"
	"wattle/internal/measure"
	"wattle/internal/timber"
)

// Spec is a fence specification. A zero field takes its default from
// WithDefaults (pointers mark the fields for which zero is a value of its
// own).
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
	// holds from its radius on. Default one row: Layout.MaxBay on any radius.
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
	// Kerf is what a saw cut takes when sticks are cut. Default 1/8 in.
	Kerf *measure.Length
	// Items names the price-book items to buy, where they are not the ones
	// the take-off names by rule (see takeoff.Candidates): default name to
	// the company's own.
	Items map[string]string
}

// Family is a kind of fence.
type Family string

// VerticalBoards is boards fastened upright to rails.
const VerticalBoards Family = "vertical-boards"

// Layout says how a stretch is shared into bays.
type Layout struct {
	Method Method // Even
	// MaxBay is the widest bay, on centre. Default 8 ft.
	MaxBay measure.Length
	// RailStock is the stick that one bay's rail is cut from; it limits bays
	// beside terminal posts. Default the shortest of Rails.Stock that is at
	// least MaxBay; MaxBay where none is.
	RailStock measure.Length
	// TerminalLimit: rails lap the face of a terminal post and run to its
	// outer edge, so the bay beside it is at most RailStock - w/2, less a rail
	// thickness beside an outside corner. Default true; off, rails end at the
	// terminal post's centre.
	TerminalLimit *bool
	// ShortEnd is where remainder and feathered put the short bays.
	ShortEnd End
	// Feather is the number of bays at each short end that share the rest.
	// Default 2; feathered only.
	Feather int
	// MinBay: a method that would leave a narrower bay widens its feather,
	// then falls back to even, and says so. Default MaxBay / 3.
	MinBay *measure.Length
}

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
	Size timber.Size // 4x4
	// GateSize is the section of gate posts. Empty: by rule, a size up where
	// opening / leaves is 4 ft or more (common practice).
	GateSize timber.Size
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
	// MinDepth is a least depth to the bottom of the hole, gravel included.
	MinDepth measure.Length
	// ByHeight: the depth is also at least 24 in + 3 in per foot of height
	// over 4 ft. Default true.
	ByHeight *bool
	// FrostDepth and FrostMargin: where FrostDepth is set the hole reaches
	// FrostDepth + FrostMargin.
	FrostDepth, FrostMargin measure.Length
	// Gravel under the post. Default 6 in.
	Gravel *measure.Length
	// Float leaves the post this far above the gravel. Default 0.
	Float measure.Length
	// Diameter of a line hole. Default 3 x the post's nominal width (common
	// practice).
	Diameter measure.Length
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
)

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
}

// Boards says which boards are hung.
type Boards struct {
	Size timber.Size // 1x6
	// Width and Thickness are actual. Default: the dressed size.
	Width, Thickness measure.Length
	// Gap between boards as installed. Default 0 (butted).
	Gap measure.Length
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
}

// Gates says how gates are built.
type Gates struct {
	HingeGap, LatchGap, CentreGap *measure.Length // 1/2, 1/2, 1 in
	// HingesPerLeaf. Default 2, 3 where the leaf is over 5 ft high.
	HingesPerLeaf int
}

// Labour is the work counted with the material. Rates are price-book entries.
type Labour struct {
	// Exclude: the job's labour is priced elsewhere.
	Exclude bool
}

// Waste is added per category, in percent. A nil field takes its default.
type Waste struct {
	Boards, Rails, Concrete, Gravel, Fasteners *decimal.Decimal // 5, 0, 0, 10, 5
}
