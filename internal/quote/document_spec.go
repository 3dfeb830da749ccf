package quote

import (
	"maps"
	"slices"

	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

// writeSpec writes a spec whose defaults are filled. A pointer is nil only in
// the boards or the rails of a family that has none, and is left out there; the
// rest of such a group stands at its zero values.
func writeSpec(c *canon, s spec.Spec, rules int) {
	options := rules > landVersion
	c.in("spec", '{')
	if rules > levelVersion {
		writeAccess(c, s)
		writeAlignment(c, s)
	}
	c.in("boards", '{')
	c.length("gap", s.Boards.Gap)
	c.length("max_gap", s.Boards.MaxGap)
	c.optionalLength("min_rip", s.Boards.MinRip)
	if options {
		c.length("overlap", s.Boards.Overlap)
		c.text("pattern", string(s.Boards.Pattern))
	}
	c.text("size", string(s.Boards.Size))
	c.text("start_at", string(s.Boards.StartAt))
	c.length("stock", s.Boards.Stock)
	c.length("thickness", s.Boards.Thickness)
	c.length("width", s.Boards.Width)
	c.end('}')
	c.in("concrete", '{')
	c.int("bag_pounds", int64(s.Concrete.BagPounds))
	c.length("crown", s.Concrete.Crown)
	c.text("set", string(s.Concrete.Set))
	c.length("stop_below_grade", s.Concrete.StopBelowGrade)
	c.decimal("yield_per_pound", s.Concrete.YieldPerPound)
	c.end('}')
	c.int("corner_angle", int64(s.CornerAngle))
	if rules > levelVersion {
		writeCurves(c, s)
	}
	if options {
		writeNames(c, "details", s.Details)
		writeExtras(c, s.Extras)
	}
	c.text("family", string(s.Family))
	c.in("fasteners", '{')
	c.text("board_nail", s.Fasteners.BoardNail)
	if options {
		c.text("coating", string(s.Fasteners.Coating))
	}
	c.in("nails_per_pound", '{')
	for _, nail := range slices.Sorted(maps.Keys(s.Fasteners.NailsPerPound)) {
		c.int(nail, int64(s.Fasteners.NailsPerPound[nail]))
	}
	c.end('}')
	c.int("per_board_per_rail", int64(s.Fasteners.PerBoardPerRail))
	c.int("per_rail_end", int64(s.Fasteners.PerRailEnd))
	c.text("rail_nail", s.Fasteners.RailNail)
	if options {
		c.int("screws_per_rail_end", int64(s.Fasteners.ScrewsPerRailEnd))
	}
	c.end('}')
	c.in("gates", '{')
	c.optionalLength("centre_gap", s.Gates.CentreGap)
	if options {
		c.text("frame", string(s.Gates.Frame))
		c.text("frame_size", string(s.Gates.FrameSize))
	}
	c.optionalLength("hinge_gap", s.Gates.HingeGap)
	c.int("hinges_per_leaf", int64(s.Gates.HingesPerLeaf))
	c.optionalLength("latch_gap", s.Gates.LatchGap)
	c.end('}')
	c.optionalLength("ground_clearance", s.GroundClearance)
	c.length("height", s.Height)
	writeHoles(c, s.Holes, options)
	writeNames(c, "items", s.Items)
	c.optionalLength("kerf", s.Kerf)
	writeLabour(c, s.Labour, options)
	c.in("layout", '{')
	if options {
		c.length("bracket_gap", s.Layout.BracketGap)
	}
	c.int("feather", int64(s.Layout.Feather))
	if options {
		c.text("hang", string(s.Layout.Hang))
		c.length("insertion", s.Layout.Insertion)
	}
	c.length("max_bay", s.Layout.MaxBay)
	c.text("method", string(s.Layout.Method))
	c.optionalLength("min_bay", s.Layout.MinBay)
	c.length("rail_stock", s.Layout.RailStock)
	c.text("short_end", string(s.Layout.ShortEnd))
	c.optionalBool("terminal_limit", s.Layout.TerminalLimit)
	c.end('}')
	if options {
		writeMoisture(c, s.Moisture)
	}
	c.text("name", s.Name)
	c.in("posts", '{')
	c.length("above_boards", s.Posts.AboveBoards)
	c.optionalBool("caps", s.Posts.Caps)
	c.text("gate_size", string(s.Posts.GateSize))
	c.text("size", string(s.Posts.Size))
	c.lengths("stock", s.Posts.Stock)
	if options {
		c.text("terminal_size", string(s.Posts.TerminalSize))
	}
	c.end('}')
	c.in("rails", '{')
	c.optionalLength("bottom_reveal", s.Rails.BottomReveal)
	c.int("count", int64(s.Rails.Count))
	if options {
		c.int("max_span", int64(s.Rails.MaxSpan))
	}
	c.text("size", string(s.Rails.Size))
	c.lengths("stock", s.Rails.Stock)
	c.optionalLength("top_reveal", s.Rails.TopReveal)
	c.end('}')
	if rules > levelVersion {
		writeSlope(c, s)
	}
	c.in("waste", '{')
	c.optionalDecimal("boards", s.Waste.Boards)
	c.optionalDecimal("concrete", s.Waste.Concrete)
	c.optionalDecimal("fasteners", s.Waste.Fasteners)
	c.optionalDecimal("gravel", s.Waste.Gravel)
	c.optionalDecimal("rails", s.Waste.Rails)
	c.end('}')
	c.end('}')
}

func writeHoles(c *canon, h spec.Holes, options bool) {
	c.in("holes", '{')
	c.optionalBool("by_height", h.ByHeight)
	c.length("diameter", h.Diameter)
	c.length("float", h.Float)
	c.length("frost_depth", h.FrostDepth)
	c.length("frost_margin", h.FrostMargin)
	c.optionalLength("gate_extra_depth", h.GateExtraDepth)
	c.optionalLength("gravel", h.Gravel)
	c.length("min_depth", h.MinDepth)
	if options {
		c.text("rules", h.Rules)
		c.length("terminal_depth", h.TerminalDepth)
		c.length("terminal_diameter", h.TerminalDiameter)
	}
	c.end('}')
}

func readSpec(t tree, rules int) spec.Spec {
	s := spec.Spec{
		Name: t.text("name"), Family: spec.Family(t.text("family")),
		Height: t.length("height"), GroundClearance: t.optionalLength("ground_clearance"),
		CornerAngle: measure.Angle(t.at("corner_angle").integer()), Kerf: t.optionalLength("kerf"),
	}
	b := t.at("boards")
	s.Boards = spec.Boards{
		Size: timber.Size(b.text("size")), Width: b.length("width"), Thickness: b.length("thickness"),
		Gap: b.length("gap"), MinRip: b.optionalLength("min_rip"), MaxGap: b.length("max_gap"),
		StartAt: spec.StartSide(b.text("start_at")), Stock: b.length("stock"),
	}
	c := t.at("concrete")
	s.Concrete = spec.Concrete{
		Set: spec.Setting(c.text("set")), BagPounds: c.int("bag_pounds"), YieldPerPound: c.decimal("yield_per_pound"),
		StopBelowGrade: c.length("stop_below_grade"), Crown: c.length("crown"),
	}
	f := t.at("fasteners")
	s.Fasteners = spec.Fasteners{
		BoardNail: f.text("board_nail"), RailNail: f.text("rail_nail"),
		PerBoardPerRail: f.int("per_board_per_rail"), PerRailEnd: f.int("per_rail_end"),
	}
	for _, nail := range f.names("nails_per_pound") {
		if s.Fasteners.NailsPerPound == nil {
			s.Fasteners.NailsPerPound = make(map[string]int)
		}
		s.Fasteners.NailsPerPound[nail] = f.at("nails_per_pound").int(nail)
	}
	g := t.at("gates")
	s.Gates = spec.Gates{
		HingeGap: g.optionalLength("hinge_gap"), LatchGap: g.optionalLength("latch_gap"),
		CentreGap: g.optionalLength("centre_gap"), HingesPerLeaf: g.int("hinges_per_leaf"),
	}
	s.Holes = readHoles(t.at("holes"))
	s.Items = readNames(t, "items")
	s.Labour.Exclude = t.at("labour").bool("exclude")
	l := t.at("layout")
	s.Layout = spec.Layout{
		Method: spec.Method(l.text("method")), MaxBay: l.length("max_bay"), RailStock: l.length("rail_stock"),
		TerminalLimit: l.optionalBool("terminal_limit"), ShortEnd: spec.End(l.text("short_end")),
		Feather: l.int("feather"), MinBay: l.optionalLength("min_bay"),
	}
	p := t.at("posts")
	s.Posts = spec.Posts{
		Size: section.Section(p.text("size")), GateSize: section.Section(p.text("gate_size")), Stock: p.lengths("stock"),
		AboveBoards: p.length("above_boards"), Caps: p.optionalBool("caps"),
	}
	r := t.at("rails")
	s.Rails = spec.Rails{
		Size: timber.Size(r.text("size")), Count: r.int("count"), Stock: r.lengths("stock"),
		TopReveal: r.optionalLength("top_reveal"), BottomReveal: r.optionalLength("bottom_reveal"),
	}
	if rules > levelVersion {
		readGround(t, &s)
	} else {
		s = levelSpec(s)
	}
	if rules > landVersion {
		readOptions(t, &s)
	} else {
		s = plainSpec(s)
	}
	w := t.at("waste")
	s.Waste = spec.Waste{
		Boards: w.optionalDecimal("boards"), Rails: w.optionalDecimal("rails"), Concrete: w.optionalDecimal("concrete"),
		Gravel: w.optionalDecimal("gravel"), Fasteners: w.optionalDecimal("fasteners"),
	}
	return s
}

func readHoles(t tree) spec.Holes {
	return spec.Holes{
		MinDepth: t.length("min_depth"), ByHeight: t.optionalBool("by_height"),
		FrostDepth: t.length("frost_depth"), FrostMargin: t.length("frost_margin"),
		Gravel: t.optionalLength("gravel"), Float: t.length("float"),
		Diameter: t.length("diameter"), GateExtraDepth: t.optionalLength("gate_extra_depth"),
	}
}
