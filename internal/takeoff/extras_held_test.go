package takeoff

import (
	"testing"

	"wattle/internal/section"
	"wattle/internal/spec"
)

// Two bays of 8 ft and every option, by hand (common practice). A cap board and a
// kick board of 2 in stock take the nail of the rails, 2 an end: 2 x 2 x 2 x 2 =
// 16 of 16d; trim of 3/4 in takes 8d [FAS-2], on two sides 2 x 2 x 2 x 2 = 16;
// lattice of 1 ft 2 an end, 2 x 2 x 2 = 8 of 6d.
func TestOptionsAreFastened(t *testing.T) {
	all := func(s *spec.Spec) {
		s.Extras = spec.Extras{CapBoard: "2x6", Trim: "1x4", TrimSides: 2, KickBoard: "2x6", Lattice: ft}
		s.Labour.Exclude = true
	}
	on := func(size section.Section) func(*spec.Spec) {
		return func(s *spec.Spec) { s.Posts.Size, s.Posts.TerminalSize = size, size }
	}
	wood := tookOff(t, hill("94.25 in, 94.25 in"), sixFoot(all), nil)
	says(t, wood, "nail-16d",
		"Cap boards: 4 ends on wood x 2 nails = 8 nails.", "Kick boards: 4 ends on wood x 2 nails = 8 nails.",
		"8 for cap boards + 8 for kick boards = 16 nails.",
		"16 nails / 49 nails to the lb = 0.3265... lb, rounded up to 0.01 lb: 0.33 lb.",
		"0.33 lb for cap boards and kick boards + 0.49 lb for rails = 0.82 lb.")
	says(t, wood, "nail-8d-ring", "Trim: 8 ends on wood x 2 nails = 16 nails.", "16 nails / 106 nails to the lb = 0.1509... lb, rounded up to 0.01 lb: 0.16 lb.")
	says(t, wood, "nail-6d-ring", "1 ft of lattice / 6 in = 2 fasteners.", "Lattice: 4 ends on wood x 2 nails = 8 nails.")
	says(t, wood, "lattice-1ft-8ft", "2 pieces, cut with a saw kerf of 1/8 in from panels of 8 ft, for the least length (no plan buys less): 2 panels of 8 ft.")

	l := hill("94.25 in, 94.25 in")
	for i := range l.Posts {
		l.Posts[i].Size = "2.375od"
	}
	metal := tookOff(t, l, sixFoot(all, on("2.375od")), nil)
	says(t, metal, "screw-self-drilling",
		"Trim: 8 ends on metal x 4 screws = 32 screws.", "Lattice: 4 ends on metal x 2 screws = 8 screws.",
		"16 for cap boards + 32 for trim + 16 for kick boards + 8 for lattice = 72 screws.")
	for _, line := range metal.Lines {
		if line.Item == "nail-16d" || line.Item == "nail-6d-ring" {
			t.Errorf("%s into metal posts", line.Item)
		}
	}
}

// A leaf of wood is nailed, one framed in tube is screwed.
func TestOptionsOfLeaves(t *testing.T) {
	for frame, want := range map[spec.Frame]string{
		spec.WoodFrame:  "Cap boards: 10 ends on wood x 2 nails = 20 nails.",
		spec.SteelFrame: "Cap boards: 2 ends on metal x 4 screws = 8 screws.",
	} {
		k := countedAt(t, straight(), sixFoot(func(s *spec.Spec) { s.Extras.CapBoard, s.Gates.Frame, s.Gates.FrameSize = "2x6", frame, "" }))
		item := "nail-16d"
		if frame == spec.SteelFrame {
			item = "screw-self-drilling"
		}
		says(t, k, item, want)
	}
}

// The pieces of options are work by the piece.
func TestTrimIsATask(t *testing.T) {
	k := countedAt(t, straight(), sixFoot(dressed))
	pieces := 0
	for _, c := range k.Cuts {
		for i, p := range c.Plan.Patterns {
			if c.Use != "rails 2x4" {
				pieces += p.Times * len(c.Plan.Patterns[i].Cuts)
			}
		}
	}
	for _, task := range k.Work.Tasks {
		if task.Name == "trim" && task.Item == "rate-trim" && task.Quantity.String() == number(whole(pieces)) && pieces > 0 {
			return
		}
	}
	t.Errorf("no task of %d pieces: %v", pieces, k.Work.Tasks)
}
