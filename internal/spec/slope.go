package spec

import (
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/timber"
)

// Slope says how the fence follows the ground.
type Slope struct {
	// Mode is Racked by default; parts of a run may differ (site.SlopePart).
	Mode SlopeMode
	// RailEnds of racked rails. Default SquareEnds.
	RailEnds RailEnds
	// MaxRack is the most that one racked bay may rise or fall; a panel's maker
	// gives it. Zero: rails rack as far as the ground does.
	MaxRack measure.Length
	// AlongGrade: Layout.MaxBay is measured along the grade of a racked bay, as
	// chain link is [AS-1], not in plan. Default false.
	AlongGrade *bool
	// MaxGroundGap is the widest gap left between grade and the bottom of the
	// boards; wider ones are filled. Default 4 in (common practice), or the
	// ground clearance where that is more.
	MaxGroundGap *measure.Length
	// Fill says with what. Default LongerBoards; LeaveOpen without boards.
	Fill Fill
	// KickSize is the section of kick boards. Default 2x6.
	KickSize timber.Size
}

// SlopeMode is how a fence follows the ground.
type SlopeMode string

const (
	Racked  SlopeMode = "racked"  // rails follow the ground, boards plumb
	Stepped SlopeMode = "stepped" // rails level, each bay drops
)

// RailEnds is how the ends of racked rails are cut.
type RailEnds string

const (
	SquareEnds RailEnds = "square" // square to the rail
	PlumbEnds  RailEnds = "plumb"  // plumb, which takes rail depth x slope of the stick
)

// Fill is what closes a gap over the ground that is too wide.
type Fill string

const (
	LongerBoards Fill = "longer-boards"
	KickBoard    Fill = "kick-board"
	Refuse       Fill = "refuse" // a gap too wide is an error
	LeaveOpen    Fill = "leave"  // a gap too wide is told, and left
)

// fillSlope fills how the fence follows the ground.
func (s *Spec) fillSlope() {
	if !s.HasBoards() {
		fill(&s.Slope.Fill, LeaveOpen)
	}
	s.Slope.fillIn(*s.GroundClearance)
}

func (s *Slope) fillIn(clearance measure.Length) {
	fill(&s.Mode, Racked)
	fill(&s.RailEnds, SquareEnds)
	pointer(&s.AlongGrade, false)
	pointer(&s.MaxGroundGap, max(4*measure.Inch, clearance))
	fill(&s.Fill, LongerBoards)
	fill(&s.KickSize, "2x6")
}

func (s Slope) validate(v *fault.List, clearance measure.Length) {
	known(v, "mode", s.Mode, Racked, Stepped)
	known(v, "rail_ends", s.RailEnds, SquareEnds, PlumbEnds)
	known(v, "fill", s.Fill, LongerBoards, KickBoard, Refuse, LeaveOpen)
	part(v, "max_rack", s.MaxRack)
	if gap := given(s.MaxGroundGap); part(v, "max_ground_gap", gap) && gap < clearance {
		v.Add("max_ground_gap", "%s is less than the ground clearance of %s", measure.Tape(gap), measure.Tape(clearance))
	}
	if !s.KickSize.Known() {
		v.Add("kick_size", "%q is no size known here", s.KickSize)
	}
}
