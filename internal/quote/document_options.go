package quote

import (
	"maps"
	"slices"

	"wattle/internal/section"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

// What a spec says of its family and its options: the fields that came with
// rules version 3.

func writeExtras(c *canon, e spec.Extras) {
	c.in("extras", '{')
	c.text("cap_board", string(e.CapBoard))
	c.text("kick_board", string(e.KickBoard))
	c.length("lattice", e.Lattice)
	c.length("lattice_length", e.LatticeLength)
	c.in("stain", '{')
	c.int("coats", int64(e.Stain.Coats))
	c.decimal("coverage", e.Stain.Coverage)
	c.bool("edges", e.Stain.Edges)
	c.int("sides", int64(e.Stain.Sides))
	c.end('}')
	c.lengths("stock", e.Stock)
	c.text("trim", string(e.Trim))
	c.int("trim_sides", int64(e.TrimSides))
	c.end('}')
}

func readExtras(t tree) spec.Extras {
	s := t.at("stain")
	return spec.Extras{
		CapBoard: timber.Size(t.text("cap_board")), Trim: timber.Size(t.text("trim")), TrimSides: t.int("trim_sides"),
		KickBoard: timber.Size(t.text("kick_board")), Lattice: t.length("lattice"), LatticeLength: t.length("lattice_length"),
		Stock: t.lengths("stock"),
		Stain: spec.Stain{Coats: s.int("coats"), Coverage: s.decimal("coverage"), Sides: s.int("sides"), Edges: s.bool("edges")},
	}
}

func writeMoisture(c *canon, m spec.Moisture) {
	c.in("moisture", '{')
	c.bool("apply_gap", m.ApplyGap)
	c.optionalDecimal("humidity", m.Humidity)
	c.text("installed", m.Installed)
	c.text("service", m.Service)
	c.text("species", m.Species)
	c.optionalDecimal("temperature", m.Temperature)
	c.end('}')
}

func readMoisture(t tree) spec.Moisture {
	return spec.Moisture{
		Species: t.text("species"), Installed: t.text("installed"), Service: t.text("service"),
		Temperature: t.optionalDecimal("temperature"), Humidity: t.optionalDecimal("humidity"), ApplyGap: t.bool("apply_gap"),
	}
}

func writeLabour(c *canon, l spec.Labour, options bool) {
	c.in("labour", '{')
	if options {
		c.text("by", string(l.By))
		c.int("crew", int64(l.Crew))
		c.in("equipment", '[')
		for _, name := range l.Equipment {
			c.element(name)
		}
		c.end(']')
	}
	c.bool("exclude", l.Exclude)
	if options {
		c.decimal("hours_per_day", l.HoursPerDay)
	}
	c.end('}')
}

// readOptions reads what of a spec came with rules version 3.
func readOptions(t tree, s *spec.Spec) {
	s.Details = readNames(t, "details")
	s.Extras, s.Moisture = readExtras(t.at("extras")), readMoisture(t.at("moisture"))
	b := t.at("boards")
	s.Boards.Overlap, s.Boards.Pattern = b.length("overlap"), spec.Pattern(b.text("pattern"))
	f := t.at("fasteners")
	s.Fasteners.Coating, s.Fasteners.ScrewsPerRailEnd = spec.Coating(f.text("coating")), f.int("screws_per_rail_end")
	g := t.at("gates")
	s.Gates.Frame, s.Gates.FrameSize = spec.Frame(g.text("frame")), section.Section(g.text("frame_size"))
	h := t.at("holes")
	s.Holes.Rules = h.text("rules")
	s.Holes.TerminalDepth, s.Holes.TerminalDiameter = h.length("terminal_depth"), h.length("terminal_diameter")
	w := t.at("labour")
	s.Labour.By, s.Labour.Crew, s.Labour.HoursPerDay = spec.LabourBy(w.text("by")), w.int("crew"), w.decimal("hours_per_day")
	for _, name := range w.all("equipment") {
		s.Labour.Equipment = append(s.Labour.Equipment, name.string())
	}
	l := t.at("layout")
	s.Layout.Hang, s.Layout.Insertion, s.Layout.BracketGap = spec.Hang(l.text("hang")), l.length("insertion"), l.length("bracket_gap")
	s.Posts.TerminalSize = section.Section(t.at("posts").text("terminal_size"))
	s.Rails.MaxSpan = t.at("rails").int("max_span")
}

// writeNames writes texts by name. Names of items and of details are ASCII, or no
// quote is made, so that their order is the one of UTF-16 that RFC 8785 asks for.
func writeNames(c *canon, key string, texts map[string]string) {
	c.in(key, '{')
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		c.text(name, texts[name])
	}
	c.end('}')
}

// readNames reads what writeNames wrote; nil for none.
func readNames(t tree, key string) map[string]string {
	var texts map[string]string
	for _, name := range t.names(key) {
		if texts == nil {
			texts = make(map[string]string)
		}
		texts[name] = t.at(key).text(name)
	}
	return texts
}
