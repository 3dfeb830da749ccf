package spec

import (
	"cmp"
	"maps"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/section"
)

// HoleSet is a published set of figures for holes.
type HoleSet struct {
	Holes
	Source string
}

// holeSets is data: a further set is a further row.
var holeSets = map[string]HoleSet{
	"by-size": {Source: "ASTM F567-07 5.1 [AS-2]; wood by common practice"},
	"published-chain-link": {Holes: Holes{
		MinDepth: 36 * measure.Inch, ByHeight: new(false), Diameter: 10 * measure.Inch,
		TerminalDiameter: 12 * measure.Inch, TerminalDepth: 36 * measure.Inch,
	}, Source: "MIL-HDBK-1013/10 glossary [CON-6]"},
}

// HoleSets lists the names of all sets of holes, in order.
func HoleSets() []string { return slices.Sorted(maps.Keys(holeSets)) }

// fillIn fills the holes from their set, then by the size of the posts.
func (h *Holes) fillIn(posts Posts, c Concrete) {
	h.Rules = cmp.Or(h.Rules, "by-size")
	set := holeSets[h.Rules]
	fill(&h.MinDepth, set.MinDepth)
	fill(&h.Diameter, set.Diameter)
	fill(&h.TerminalDiameter, set.TerminalDiameter)
	fill(&h.TerminalDepth, set.TerminalDepth)
	if set.ByHeight != nil {
		pointer(&h.ByHeight, *set.ByHeight)
	}

	pointer(&h.ByHeight, true)
	gravel := 6 * measure.Inch
	if c.Set == Driven {
		gravel = 0
	}
	pointer(&h.Gravel, gravel)
	pointer(&h.GateExtraDepth, 6*measure.Inch)
	fill(&h.Diameter, holeFor(posts.Size, c.Set))
	terminal := max(h.Diameter, 0)
	if posts.TerminalSize != posts.Size {
		terminal = max(holeFor(posts.TerminalSize, c.Set), h.Diameter)
	}
	fill(&h.TerminalDiameter, terminal)
}

func (h Holes) validate(v *fault.List) {
	if _, known := holeSets[h.Rules]; !known {
		v.Add("rules", "%q is no set of holes; expected %s", h.Rules, listed(HoleSets()))
	}
	part(v, "min_depth", h.MinDepth)
	part(v, "frost_depth", h.FrostDepth)
	if part(v, "frost_margin", h.FrostMargin) {
		v.Require(h.FrostMargin == 0 || h.FrostDepth != 0, "frost_margin", "a margin below frost needs a frost_depth")
	}
	part(v, "gravel", given(h.Gravel))
	part(v, "float", h.Float)
	part(v, "gate_extra_depth", given(h.GateExtraDepth))
	part(v, "diameter", h.Diameter)
	part(v, "terminal_diameter", h.TerminalDiameter)
	part(v, "terminal_depth", h.TerminalDepth)
}

// HoleRule names what decides the depth of a hole.
type HoleRule string

const (
	ByMinimum  HoleRule = "minimum"
	ByHeight   HoleRule = "height"
	ByFrost    HoleRule = "frost"
	ByTerminal HoleRule = "terminal" // Holes.TerminalDepth
	ByDriving  HoleRule = "driven"   // no hole: how deep the post is driven
)

// HoleDepth is the depth of a line hole to its bottom, gravel included, and the
// rule that decides it: the largest of the spec's minimum; 24 in + 3 in per
// foot of height over 4 ft, part feet in proportion [AS-2 for chain link, the
// same for wood by common practice]; frost depth + margin where a frost depth
// is given. Of equal depths the rule named first decides.
func (s *Spec) HoleDepth() (measure.Length, HoleRule) {
	depth, rule := s.depthWithoutFrost()
	if frost := s.Holes.FrostDepth + s.Holes.FrostMargin; s.Holes.FrostDepth > 0 && frost > depth {
		return frost, ByFrost
	}
	return depth, rule
}

func (s *Spec) depthWithoutFrost() (measure.Length, HoleRule) {
	depth, rule := s.Holes.MinDepth, ByMinimum
	if given(s.Holes.ByHeight) {
		over := max(s.Height-4*measure.Foot, 0)
		byHeight := 24*measure.Inch + (over+2)/4 // 3 in per foot is a quarter, to the nearest nanometre
		if byHeight > depth {
			depth, rule = byHeight, ByHeight
		}
	}
	return depth, rule
}

// holeFor is the diameter of the hole of a post by rule: wood and what is not
// pipe 3 x the nominal width (common practice); pipe 4 x the outside diameter up
// to 4 in, 3 x above [AS-2]; what is driven makes a hole of its own width.
func holeFor(size section.Section, set Setting) measure.Length {
	switch nominal := size.Nominal(); {
	case drives(size, set):
		return size.Width()
	case size.Kind() == section.Pipe && nominal <= 4*measure.Inch:
		return 4 * nominal
	default:
		return 3 * nominal
	}
}

func drives(size section.Section, set Setting) bool {
	return set == Driven || size.Kind() == section.TPost
}

// Drives reports whether posts of a section are driven: all are, or it is a
// steel T post, which always is.
func (s *Spec) Drives(size section.Section) bool { return drives(size, s.Concrete.Set) }

// HoleDiameter is the diameter of the hole of a post of the given size and duty:
// the spec's own for line and for terminal posts, else by rule and never less
// than that; where the post is driven, its width.
func (s *Spec) HoleDiameter(size section.Section, duty Duty) measure.Length {
	own, by := s.Posts.Size, s.Holes.Diameter
	if duty > LineDuty {
		own, by = s.Posts.TerminalSize, s.Holes.TerminalDiameter
	}
	switch {
	case s.Drives(size):
		return size.Width()
	case size == own && by > 0:
		return by
	default:
		return max(holeFor(size, s.Concrete.Set), by)
	}
}
