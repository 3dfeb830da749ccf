package takeoff

import (
	"cmp"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

// panels are bought made up and set between posts, or mounted on their faces.
//
//	between          [P]--| panel |--[P]--| panel |--[P]    brackets, or into the posts
//	mounted on faces [P|==== panel ===|P|=== panel ====|P]  joints on post centres
var _ = define(family{
	Definition: spec.Definition{
		Family: spec.Panels, Title: "Panels",
		Details: panelDetails, Fill: fillPanels, Check: checkPanels,
		Heights: []string{"4 ft", "5 ft", "6 ft"},
		Source:  "LAY-2; sizes, gaps, brackets and screws are common practice",
	},
	count: countPanels, rules: panelRules, postAs: panelPostAs,
})

// Where panels hang.
const (
	betweenPosts = "between"
	onFaces      = "face"
)

// Materials that count otherwise than others.
const (
	vinylPanels = "vinyl"
	woodPanels  = "wood"
)

// panelMaterial is what is usual of panels of one material, all of it common
// practice. Steel posts of panels stand in holes wider than three times their
// width, vinyl ones in narrower.
type panelMaterial struct {
	title, width, mount   string
	post, terminal        section.Section
	hole                  measure.Length // 0: by rule
	insertion, bracketGap measure.Length
	reuse                 string
}

var panelMaterials = map[string]panelMaterial{
	"ornamental-metal": {title: "Ornamental metal", width: "72 in", mount: betweenPosts, post: "2sq", terminal: "2.5sq",
		hole: 8 * measure.Inch, bracketGap: measure.Inch / 4, reuse: "true"},
	vinylPanels: {title: "Vinyl", width: "93 in", mount: betweenPosts, post: "5vinyl", terminal: "5vinyl",
		hole: 12 * measure.Inch, insertion: measure.Inch, reuse: "false"},
	woodPanels: {title: "Wood", width: "96 in", mount: onFaces, post: "4x4", terminal: "4x4", reuse: "true"},
}

// byMaterial is a default that depends on the material.
func byMaterial(of func(panelMaterial) string) func(*spec.Spec) string {
	return func(s *spec.Spec) string { return of(panelMaterials[s.Details["material"]]) }
}

// bracketsByHeight: one for each of the panel's rails, of which it has 2 up to
// 4 ft and 3 above; none where it goes into its posts or hangs on their faces.
func bracketsByHeight(s *spec.Spec) string {
	switch {
	case s.Details["mount"] != betweenPosts, s.Details["material"] == vinylPanels:
		return "0"
	case s.Height <= 4*measure.Foot:
		return "2"
	default:
		return "3"
	}
}

// faceScrews: two for each of a panel's rails, of which it has 2 up to 4 ft and
// 3 above; none where it does not hang on the faces of its posts.
func faceScrews(s *spec.Spec) string {
	switch {
	case s.Details["mount"] != onFaces:
		return "0"
	case s.Height <= 4*measure.Foot:
		return "4"
	default:
		return "6"
	}
}

var panelDetails = []spec.Detail{
	{Name: "material", Kind: spec.ChoiceDetail, Default: "ornamental-metal", Choices: []string{"ornamental-metal", vinylPanels, woodPanels},
		Doc: "What the panels are made of.", Source: practice},
	{Name: "panel_width", Kind: spec.LengthDetail, By: byMaterial(func(m panelMaterial) string { return m.width }), Least: "24 in", Most: "20 ft",
		Doc: "Width of a whole panel, with what goes into the posts.", Source: practice},
	{Name: "mount", Kind: spec.ChoiceDetail, By: byMaterial(func(m panelMaterial) string { return m.mount }), Choices: []string{betweenPosts, onFaces},
		Doc: "Panels hang between their posts, or on the faces of them, from post centre to post centre.", Source: practice},
	{Name: "cut", Kind: spec.SwitchDetail, Default: "true",
		Doc: "Panels may be cut to a narrower bay.", Source: practice},
	{Name: "cut_loss", Kind: spec.LengthDetail, Default: "1/8 in",
		Doc: "What a cut takes of a panel.", Source: practice},
	{Name: "reuse_offcuts", Kind: spec.SwitchDetail, By: byMaterial(func(m panelMaterial) string { return m.reuse }),
		Doc: "What is left of a cut panel may fill another bay; by default not of vinyl, whose off-cuts have one end that fits a post.", Source: practice},
	{Name: "least_offcut", Kind: spec.LengthDetail, Default: "12 in",
		Doc: "An off-cut narrower than that is scrap.", Source: practice},
	{Name: "brackets_per_panel_end", Kind: spec.CountDetail, By: bracketsByHeight, Most: "10",
		Doc: "Brackets that hold each end of a panel.", Source: practice},
	{Name: "screws_per_bracket", Kind: spec.CountDetail, Default: "4", Most: "20",
		Doc: "Screws in a bracket.", Source: practice},
	{Name: "screws_per_panel_end", Kind: spec.CountDetail, By: faceScrews, Most: "50",
		Doc: "Screws that hold each end of a panel without a bracket.", Source: practice},
	{Name: "rack", Kind: spec.LengthDetail,
		Doc: "The most that a panel may rise or fall from end to end; its maker gives it.", Source: "the maker of the panel"},
}

// fillPanels: posts by material; bays as wide as a panel lets them be, whole
// panels and one cut. The widest bay is set so that the panel limits bays, not
// it.
func fillPanels(s *spec.Spec) {
	m := panelMaterials[s.Details["material"]]
	if s.Posts.Size == "" {
		s.Posts.Size, s.Posts.TerminalSize = m.post, cmp.Or(s.Posts.TerminalSize, m.terminal)
		s.Holes.Diameter = cmp.Or(s.Holes.Diameter, m.hole)
	}
	s.Slope.MaxRack = cmp.Or(s.Slope.MaxRack, s.Details.Length("rack"))
	l, width := &s.Layout, s.Details.Length("panel_width")
	l.Method = cmp.Or(l.Method, spec.Remainder)
	l.RailStock = cmp.Or(l.RailStock, width)
	if s.Details["mount"] == onFaces {
		l.Hang = cmp.Or(l.Hang, spec.Lapped)
		l.MaxBay = cmp.Or(l.MaxBay, width)
		if l.TerminalLimit == nil {
			l.TerminalLimit = new(false)
		}
		return
	}
	l.Hang = cmp.Or(l.Hang, spec.Between)
	if l.Insertion == 0 && l.BracketGap == 0 && l.Hang == spec.Between {
		l.Insertion, l.BracketGap = m.insertion, m.bracketGap
	}
	widest := max(s.Posts.Size.Width(), s.Posts.TerminalSize.Width(), s.GatePostSize(measure.MaxLength, 1).Width())
	l.MaxBay = cmp.Or(l.MaxBay, panelOnCentre(s, widest))
	if len(s.Curves) == 0 { // the chords of arcs stand between bends, which are line posts
		s.Curves = append(s.Curves, struct{ Radius, Spacing measure.Length }{0, min(l.MaxBay, panelOnCentre(s, s.Posts.Size.Width()))})
	}
}

// panelOnCentre is how far posts of the given width stand apart with a whole
// panel between them, or on their faces.
func panelOnCentre(s *spec.Spec, post measure.Length) measure.Length {
	width := s.Details.Length("panel_width")
	if s.Details["mount"] == onFaces {
		return width
	}
	return width + post - 2*s.Layout.Insertion + 2*s.Layout.BracketGap
}

func checkPanels(s *spec.Spec, v *fault.List) {
	details, hung := v.At("details"), v.At("layout")
	width := s.Details.Length("panel_width")
	hang := spec.Between
	if s.Details["mount"] == onFaces {
		hang = spec.Lapped
		details.Require(s.Details["material"] != vinylPanels, "mount", "vinyl panels go into their posts; expected %s", betweenPosts)
		hung.Require(!value(s.Layout.TerminalLimit), "terminal_limit", "panels on the faces of posts end at the centres of terminal ones; expected false")
	} else {
		details.Require(s.Layout.Insertion > 0 || s.Details.Count("brackets_per_panel_end") > 0, "brackets_per_panel_end",
			"a panel that does not go into its posts takes brackets; expected 1 or more")
	}
	hung.Require(s.Layout.Hang == hang, "hang", "panels with mount %s hang %s, found %s", s.Details["mount"], hang, s.Layout.Hang)
	hung.Require(s.Layout.RailStock == width, "rail_stock", "expected the width of a panel, %s, found %s", width.Imperial(), s.Layout.RailStock.Imperial())
	details.Require(s.Details.Length("cut_loss") < width, "cut_loss", "%s is all of a panel of %s", s.Details.Length("cut_loss").Imperial(), width.Imperial())
	details.Require(s.Details.Length("least_offcut") <= width, "least_offcut", "%s is more than a whole panel, %s", s.Details.Length("least_offcut").Imperial(), width.Imperial())
	rack := s.Details.Length("rack")
	details.Require(rack == 0 || rack == s.Slope.MaxRack, "rack", "%s here and %s in slope.max_rack are two limits; expected one", rack.Imperial(), s.Slope.MaxRack.Imperial())
	checkNoFill(s, v, "panels are not lengthened")
	checkBare(s, v, "cap_board", "cap board")
	if s.Details["material"] != woodPanels {
		checkBare(s, v, "kick_board", "kick board")
	}
}

// checkBare notes a board along the fence that a family has nothing to nail to.
func checkBare(s *spec.Spec, v *fault.List, field, name string) {
	size := map[string]timber.Size{"cap_board": s.Extras.CapBoard, "kick_board": s.Extras.KickBoard}[field]
	v.At("extras").Require(size == "", field, "%s carries no %s; leave it out", s.Family.Title(), name)
}

// checkRacked notes a family on steps whose rails or wires pass its posts at
// one height.
func checkRacked(s *spec.Spec, v *fault.List, why string) {
	v.At("slope").Require(s.Slope.Mode != spec.Stepped, "mode", "%s; expected %s, found %s", why, spec.Racked, s.Slope.Mode)
}

// checkNoFill notes a gap over the ground that is to be filled by a family that
// has nothing to fill it with.
func checkNoFill(s *spec.Spec, v *fault.List, why string) {
	fill := s.Slope.Fill
	v.At("slope").Require(fill != spec.LongerBoards && fill != spec.KickBoard, "fill", "%s; expected %s or %s, found %s",
		why, spec.LeaveOpen, spec.Refuse, fill)
}

// panelPostAs: a vinyl post is routed for the rails of the panels that go into
// it, so that posts at ends, at corners and in line are different items.
func panelPostAs(l *layout.Layout) func(int, *layout.Post) string {
	routed := mortised(l)
	var kinds sectionKinds
	return func(i int, p *layout.Post) string {
		if kinds.of(p.Size) != section.Vinyl {
			return ""
		}
		return routed(i, p)
	}
}

func panelItem(s *spec.Spec) item {
	material, high, wide := s.Details["material"], s.BoardLength(), s.Details.Length("panel_width")
	return item{"panel-" + material + "-" + lengthName(high) + "-" + lengthName(wide),
		panelMaterials[material].title + " panel, " + high.Imperial() + " high, " + wide.Imperial() + " wide", Panels, Each, "panel"}
}

func panelBracketItem() item {
	return item{"bracket-panel", "Panel bracket", Hardware, Each, "bracket"}
}

func panelScrewItem() item { return item{"screw-panel", "Screw for panels", Fasteners, Each, "screw"} }
