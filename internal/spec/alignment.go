package spec

import (
	"cmp"
	"maps"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Alignment says which turns of the line and which breaks of grade take which
// posts, besides the corner angle. A zero field takes the figure of the named
// rule set, which may have none.
type Alignment struct {
	// Rules names a rule set (see RuleSets). Default: the family's own.
	Rules string
	// Above: a vertex is a corner where the line turns by more than the corner
	// angle, not at the angle itself.
	Above *bool
	// AnchorAngle: a vertex that turns by at least this, and is no corner, takes
	// an intermediate anchor, a pull post. Zero: none does.
	AnchorAngle measure.Angle
	// ConcreteAngle: a vertex that turns by at least this, and is neither, takes
	// a line post that is set in concrete whatever the others are. Zero: none.
	ConcreteAngle measure.Angle
	// PullSpacing is the farthest that posts which take a pull (terminal and
	// pull posts) may stand apart along the run. Zero: as far as may be.
	PullSpacing measure.Length
	// GradeBreak: a pull post stands where the grade turns by at least this.
	// Zero: nowhere.
	GradeBreak measure.Angle
}

// RuleSet is a published way to classify alignments.
type RuleSet struct {
	CornerAngle measure.Angle
	Alignment
	Source string
}

var (
	above   = true
	atLeast = false
)

// ruleSets is data: a further set is a further row.
var ruleSets = map[string]RuleSet{
	"trade": {CornerAngle: 10 * measure.Degree,
		Source: "common practice; published practice runs from 5 to 15 degrees [DT-1, DT-2, DT-7, DT-8]"},
	"highway-steel": {CornerAngle: 5 * measure.Degree, Alignment: Alignment{Above: &above},
		Source: "Caltrans Standard Specifications s. 80 (2010), steel posts [DT-1]"},
	"highway-wood": {CornerAngle: 15 * measure.Degree, Alignment: Alignment{Above: &above},
		Source: "Caltrans Standard Specifications s. 80 (2010), wood posts [DT-1]"},
	"highway-chain-link": {CornerAngle: 15 * measure.Degree,
		Alignment: Alignment{PullSpacing: 350 * measure.Foot, GradeBreak: 15 * measure.Degree},
		Source:    "Florida DOT Index 802 [DT-2]"},
	"woven-wire": {CornerAngle: 30 * measure.Degree,
		Alignment: Alignment{AnchorAngle: 4 * measure.Degree, ConcreteAngle: measure.Degree, PullSpacing: 660 * measure.Foot},
		Source:    "agency inspection manual item 607 [DT-7]"},
	"highway-grade": {CornerAngle: 10 * measure.Degree, Alignment: Alignment{GradeBreak: 30 * measure.Degree},
		Source: "Iowa DOT 2519 [DT-8]"},
}

// familyRules is the rule set of a family whose spec names none.
var familyRules = map[Family]string{VerticalBoards: "trade"}

// RuleSets lists the names of all rule sets, in order.
func RuleSets() []string { return slices.Sorted(maps.Keys(ruleSets)) }

// fillAlignment fills the corner angle and the alignment from the rule set.
func (s *Spec) fillAlignment() {
	a := &s.Alignment
	a.Rules = cmp.Or(a.Rules, familyRules[s.Family], "trade")
	set := ruleSets[a.Rules]
	// A spec's own corner angle is met at the angle itself unless it says more.
	if s.CornerAngle == 0 {
		s.CornerAngle = cmp.Or(set.CornerAngle, 10*measure.Degree)
		if set.Above != nil {
			pointer(&a.Above, *set.Above)
		}
	}
	pointer(&a.Above, atLeast)
	fill(&a.AnchorAngle, set.AnchorAngle)
	fill(&a.ConcreteAngle, set.ConcreteAngle)
	fill(&a.PullSpacing, set.PullSpacing)
	fill(&a.GradeBreak, set.GradeBreak)
}

// Turn is what a vertex is by the angle the line turns there.
type Turn int

const (
	Bends       Turn = iota // a line post serves, standing at the vertex
	SetConcrete             // a line post, set in concrete
	Anchors                 // an intermediate anchor, a pull post
	Turns                   // a corner
)

// Classify says what a vertex is where the line turns by the given angle,
// whatever its sign.
func (s *Spec) Classify(turn measure.Angle) Turn {
	turn = turn.Abs()
	a := s.Alignment
	switch reaches := func(least measure.Angle) bool { return least > 0 && turn >= least }; {
	case given(a.Above) && turn > s.CornerAngle, !given(a.Above) && turn >= s.CornerAngle:
		return Turns
	case reaches(a.AnchorAngle):
		return Anchors
	case reaches(a.ConcreteAngle):
		return SetConcrete
	default:
		return Bends
	}
}

// shortestPull keeps pull posts from crowding one another out.
const shortestPull = 20 * measure.Foot

func (a Alignment) validate(v *fault.List, corner measure.Angle) {
	if _, known := ruleSets[a.Rules]; !known {
		v.Add("rules", "%q is no rule set; expected one of %v", a.Rules, RuleSets())
	}
	angle := func(field string, angle, most measure.Angle) {
		if angle < 0 || angle > most {
			v.Add(field, "expected 0 or more and at most %s, found %s", most, angle)
		}
	}
	angle("anchor_angle", a.AnchorAngle, max(corner, 0))
	angle("concrete_angle", a.ConcreteAngle, max(cmp.Or(a.AnchorAngle, corner), 0))
	angle("grade_break", a.GradeBreak, 90*measure.Degree)
	if pull := a.PullSpacing; pull != 0 && (pull < shortestPull || pull > measure.MaxLength) {
		v.Add("pull_spacing", "expected 0 (none) or at least %s, found %s", measure.Tape(shortestPull), pull)
	}
}
