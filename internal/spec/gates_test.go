package spec

import (
	"strings"
	"testing"

	"wattle/internal/fault"
	"wattle/internal/section"
)

// What leaves are framed in by default (common practice), and what they cannot
// be. Fences that are neither vertical boards nor chain link have no rails here.
func TestFrames(t *testing.T) {
	for _, c := range []struct {
		name       string
		family     Family
		frame      Frame
		size       section.Section
		want, flaw string
	}{
		{"boards", VerticalBoards, "", "", "wood ", ""},
		{"boards on steel", VerticalBoards, SteelFrame, "", "steel 1.66od", ""},
		{"a tube of its own", VerticalBoards, SteelFrame, "2sq", "steel 2sq", ""},
		{"boards on mesh", VerticalBoards, MeshFrame, "", "mesh 1.66od", "spec.gates.frame: leaves of vertical boards are not framed in mesh; expected wood, steel"},
		{"chain link", ChainLink, "", "", "mesh 1.66od", ""},
		{"a word that is none", VerticalBoards, "brass", "", "brass 1.66od", `spec.gates.frame: "brass" is not known here; expected wood, steel, mesh`},
		{"a post is no tube", VerticalBoards, SteelFrame, "tee", "steel tee", `spec.gates.frame_size: "tee" is no tube; expected one such as 1.66od or 2sq`},
		{"wood is no tube", VerticalBoards, SteelFrame, "4x4", "steel 4x4", `spec.gates.frame_size: "4x4" is no tube; expected one such as 1.66od or 2sq`},
	} {
		s := Spec{Family: c.family, Height: 6 * ft, Gates: Gates{Frame: c.frame, FrameSize: c.size}}.WithDefaults()
		if got := string(s.Gates.Frame) + " " + string(s.Gates.FrameSize); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		var v fault.List
		s.validateGates(v.At("spec.gates"))
		switch err := v.Err(); {
		case c.flaw == "" && err != nil, c.flaw != "" && (err == nil || !strings.Contains(err.Error(), c.flaw)):
			t.Errorf("%s: %v\nwant %s", c.name, err, c.flaw)
		}
	}
}
