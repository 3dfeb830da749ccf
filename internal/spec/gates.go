package spec

import (
	"slices"
	"strings"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/section"
)

// Gates says how gates are built.
type Gates struct {
	HingeGap, LatchGap, CentreGap *measure.Length // 1/2, 1/2, 1 in
	// HingesPerLeaf. Default 2, 3 where the leaf is over 5 ft high.
	HingesPerLeaf int
	// Frame of the leaves, one of those that the family's leaves are built on
	// (see Spec.Frames). Default the first of them.
	Frame Frame
	// FrameSize is the tube of steel and mesh frames. Default 1.66od.
	FrameSize section.Section
}

// mostHinges is more than any leaf hangs on.
const mostHinges = 10

// Frame is what a gate leaf is built on.
type Frame string

const (
	WoodFrame  Frame = "wood"  // stiles, rails and a brace of the rails' section
	SteelFrame Frame = "steel" // a frame of welded tube, with the fence's own infill; of wire, a tube gate bought whole
	MeshFrame  Frame = "mesh"  // a frame of pipe with chain link fabric
)

// Frames are those that leaves of the family may be built on, the usual one
// first: wood takes the fence's own rails, mesh its own fabric (common
// practice).
func (s *Spec) Frames() []Frame {
	switch {
	case s.Family == ChainLink:
		return []Frame{MeshFrame}
	case s.HasRails():
		return []Frame{WoodFrame, SteelFrame}
	default:
		return []Frame{SteelFrame}
	}
}

// fillGates fills what gates of the family are built of.
func (s *Spec) fillGates() {
	g := &s.Gates
	pointer(&g.HingeGap, measure.Inch/2)
	pointer(&g.LatchGap, measure.Inch/2)
	pointer(&g.CentreGap, measure.Inch)
	fill(&g.HingesPerLeaf, s.HingesPerLeaf())
	fill(&g.Frame, s.Frames()[0])
	if g.Frame != WoodFrame {
		fill(&g.FrameSize, "1.66od")
	}
}

// HingesPerLeaf is the number of hinges a gate leaf hangs on: the spec's own,
// else 2, or 3 where the leaf is over 5 ft high (common practice).
func (s *Spec) HingesPerLeaf() int {
	switch {
	case s.Gates.HingesPerLeaf > 0:
		return s.Gates.HingesPerLeaf
	case s.BoardLength() > 5*measure.Foot:
		return 3
	default:
		return 2
	}
}

func (s *Spec) validateGates(v *fault.List) {
	g := s.Gates
	part(v, "hinge_gap", given(g.HingeGap))
	part(v, "latch_gap", given(g.LatchGap))
	part(v, "centre_gap", given(g.CentreGap))
	if all := []Frame{WoodFrame, SteelFrame, MeshFrame}; !slices.Contains(all, g.Frame) {
		known(v, "frame", g.Frame, all...)
	} else if !slices.Contains(s.Frames(), g.Frame) {
		v.Add("frame", "leaves of %s are not framed in %s; expected %s", strings.ToLower(s.Family.Title()), g.Frame, listed(s.Frames()))
	}
	kind := g.FrameSize.Kind()
	if g.Frame != WoodFrame && kind != section.Pipe && kind != section.Tube {
		v.Add("frame_size", "%q is no tube; expected one such as 1.66od or 2sq", g.FrameSize)
	}
	v.Require(g.HingesPerLeaf >= 1 && g.HingesPerLeaf <= mostHinges, "hinges_per_leaf", "expected between 1 and %d, found %d", mostHinges, g.HingesPerLeaf)
}
