package render

import (
	"fmt"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// infill is what hangs between the posts, in the words of an estimator; say
// writes a length.
func infill(s spec.Spec, say func(measure.Length) string) string {
	switch s.Family {
	case spec.HorizontalBoards:
		return courses(s, say)
	case spec.ChainLink:
		return chainLink(s.Details, say)
	case spec.Panels:
		return panels(s, say)
	case spec.SplitRail:
		d := s.Details
		return fmt.Sprintf("of split rail: %s of %s, %s long, in each bay, lapping %s in the posts",
			counted(d.Count("rails"), "rail"), d["rail_wood"], say(d.Length("rail_length")), say(d.Length("lap")))
	case spec.Wire:
		return wires(s.Details, say)
	case spec.VerticalBoards:
		between := ""
		if s.Layout.Hang == spec.Between {
			between = " hung between the posts"
		}
		return fmt.Sprintf("of %s boards fastened upright%s, %s off the ground, on %s of %s%s in each bay%s", s.Boards.Size, boardPattern(s.Boards, say),
			say(*s.GroundClearance), counted(s.RailCount(), "rail"), s.Rails.Size, between, overTwo(s.Rails.MaxSpan > 1 && between == "", "rails"))
	default: // a family that has no words of its own here
		return "of " + strings.ToLower(s.Family.Title())
	}
}

// boardPattern is how boards stand to one another, nothing of butted ones.
func boardPattern(b spec.Boards, say func(measure.Length) string) string {
	switch {
	case b.Pattern == spec.BoardOnBoard:
		return ", board on board with an overlap of " + say(b.Overlap)
	case b.Pattern == spec.ShadowBox:
		return " on alternate sides of the rails, " + say(b.Gap) + " between those of one side"
	case b.Gap > 0:
		return " with " + say(b.Gap) + " between them"
	default:
		return ""
	}
}

func overTwo(two bool, what string) string {
	if !two {
		return ""
	}
	return ", " + what + " over two bays where that is no dearer, their joints staggered"
}

// courses are boards that lie.
func courses(s spec.Spec, say func(measure.Length) string) string {
	words := fmt.Sprintf("of %s boards lying from post to post", s.Boards.Size)
	if s.Boards.Gap > 0 {
		words += ", " + say(s.Boards.Gap) + " between courses"
	}
	words += ", the lowest " + say(*s.GroundClearance) + " off the ground"
	if s.Details.On("rip_top") {
		words += ", the top course ripped to fit"
	}
	return words + overTwo(s.Details.Count("span") > 1, "boards")
}

func chainLink(d spec.Details, say func(measure.Length) string) string {
	words := fmt.Sprintf("of chain link: fabric %s high, %s mesh of %s gauge wire", say(d.Length("fabric_height")), say(d.Length("mesh")), d["gauge"])
	rail, wire := d.Section("rail_size").Describe(), d["tension_wire_gauge"]+" gauge tension wire"
	var rails, wires []string
	edge := func(what, where string) {
		switch what {
		case "rail":
			rails = append(rails, where)
		case "wire":
			wires = append(wires, where)
		}
	}
	edge(d["top"], "top")
	if d.On("mid_rail") {
		rails = append(rails, "middle")
	}
	edge(d["bottom"], "bottom")
	if len(rails) > 0 {
		noun := "a rail"
		if len(rails) > 1 {
			noun = "rails"
		}
		words += ", " + noun + " of " + rail + " at the " + list(rails)
	}
	if len(wires) > 0 {
		words += fmt.Sprintf(", %s at the %s", wire, list(wires))
	}
	if n := d.Count("barb_strands"); n > 0 {
		words += ", arms on the posts with " + counted(n, "strand") + " of barbed wire"
		if d["barb_arms"] == "double" {
			words += " to each side"
		}
	}
	if d.On("slats") {
		words += ", privacy slats in the mesh"
	}
	return words
}

// panels are made up before they come.
func panels(s spec.Spec, say func(measure.Length) string) string {
	d := s.Details
	words := fmt.Sprintf("of %s panels %s high and %s wide", strings.ReplaceAll(d["material"], "-", " "), say(s.BoardLength()), say(d.Length("panel_width")))
	switch n := d.Count("brackets_per_panel_end"); {
	case d["mount"] == "face":
		words += ", mounted on the faces of the posts"
	case s.Layout.Insertion > 0:
		words += ", set " + say(s.Layout.Insertion) + " into the posts"
	default:
		words += ", hung between the posts in " + counted(n, "bracket") + " at each end"
	}
	if c := *s.GroundClearance; c > 0 {
		words += ", " + say(c) + " off the ground"
	}
	if d.On("cut") {
		words += ", cut where a bay is narrower"
	}
	return words
}

func wires(d spec.Details, say func(measure.Length) string) string {
	var words string
	switch n := d.Count("strands"); d["kind"] {
	case "woven":
		words = fmt.Sprintf("of woven wire %s high", say(d.Length("woven_height")))
		if n > 0 {
			words += " under " + counted(n, "strand") + " of barbed wire"
		}
	case "high-tensile":
		words = "of " + counted(n, "strand") + " of high tensile wire"
	default:
		words = "of " + counted(n, "strand") + " of barbed wire"
	}
	if d.On("stays") {
		words += ", stays at most " + say(d.Length("stay_spacing")) + " apart"
	}
	return words + ", pulled between braced posts"
}

// options are what is added to any fence, in a sentence.
func options(s spec.Spec, m Measures) string {
	x := s.Extras
	var all []string
	add := func(on bool, format string, args ...any) {
		if on {
			all = append(all, fmt.Sprintf(format, args...))
		}
	}
	add(x.CapBoard != "", "a cap board of %s", x.CapBoard)
	add(x.Trim != "", "trim of %s on %s", x.Trim, counted(x.TrimSides, "side"))
	add(x.Lattice > 0, "a lattice top %s high", m.Words(x.Lattice))
	add(x.KickBoard != "", "a kick board of %s", x.KickBoard)
	add(x.Stain.Coats > 0, "%s of stain on %s", counted(x.Stain.Coats, "coat"), counted(x.Stain.Sides, "side"))
	if len(all) == 0 {
		return ""
	}
	return "With " + list(all) + ". "
}
