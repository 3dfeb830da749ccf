package quote

import (
	"maps"
	"reflect"
	"slices"

	"wattle/internal/arc"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// levelVersion is the last rules version without the lay of the land.
const levelVersion = 1

// levelSpec is a spec of levelVersion in today's terms: what its rules did
// before there were fields to say otherwise. These are that version's own
// figures; defaults that change later leave them alone.
func levelSpec(s spec.Spec) spec.Spec {
	clearance := measure.Length(0)
	if s.GroundClearance != nil {
		clearance = *s.GroundClearance
	}
	s.Access = new(24 * measure.Inch)
	s.Curves = []arc.Limit{{Spacing: s.Layout.MaxBay}}
	s.Alignment = spec.Alignment{Rules: "trade", Above: new(false)}
	s.Slope = spec.Slope{
		Mode: spec.Racked, RailEnds: spec.SquareEnds, AlongGrade: new(false),
		MaxGroundGap: new(max(4*measure.Inch, clearance)), Fill: spec.LongerBoards, KickSize: "2x6",
	}
	return s
}

// landVersion is the last rules version of vertical boards alone, without
// options.
const landVersion = 2

// plainSpec is a spec of landVersion or before in today's terms, as levelSpec is
// of levelVersion: its rules knew vertical boards and nothing else.
func plainSpec(s spec.Spec) spec.Spec {
	s.Family, s.Details = spec.VerticalBoards, nil
	s.Extras, s.Moisture = spec.Extras{}, spec.Moisture{}
	s.Layout.Hang, s.Layout.Insertion, s.Layout.BracketGap = spec.Lapped, 0, 0
	s.Posts.TerminalSize = s.Posts.Size
	s.Holes.TerminalDiameter, s.Holes.TerminalDepth = s.Holes.Diameter, 0
	s.Holes.Rules = "by-size"
	s.Rails.MaxSpan = 1
	s.Boards.Pattern, s.Boards.Overlap = spec.SideBySide, 0
	s.Fasteners.ScrewsPerRailEnd, s.Fasteners.Coating = 4, spec.HotDip
	s.Gates.Frame, s.Gates.FrameSize = spec.WoodFrame, ""
	s.Labour = spec.Labour{Exclude: s.Labour.Exclude, By: spec.ByFence}
	return s
}

// oneUnitVersion is the last rules version that bought of the cheapest supplier
// only, took offers in the take-off's own unit only, and let prices grow old.
const oneUnitVersion = 3

// requireKnown notes everything of a request that its rules version does not
// know.
func (r Request) requireKnown(v *fault.List) {
	if r.RulesVersion <= levelVersion {
		r.requireLevel(v)
	}
	if r.RulesVersion <= landVersion {
		r.requirePlain(v)
	}
	if r.RulesVersion <= oneUnitVersion {
		p := v.At("pricing")
		r.since(p, oneUnitVersion, "preferred_suppliers", len(r.Pricing.PreferredSuppliers) > 0)
		r.since(p, oneUnitVersion, "stale_after_days", r.Pricing.StaleAfterDays != nil)
	}
}

// since notes a field that came with the rules version after last.
func (r Request) since(v *fault.List, last int, field string, given bool) {
	v.Require(!given, field, "needs rules version %d; this quote is of version %d", last+1, r.RulesVersion)
}

func (r Request) requireLevel(v *fault.List) {
	unknown := func(v *fault.List, field string, given bool) { r.since(v, levelVersion, field, given) }
	st := v.At("site")
	unknown(st, "obstacles", len(r.Site.Obstacles) > 0)
	for i, run := range r.Site.Runs {
		at := st.At("runs").Index(i)
		unknown(at, "chords", len(run.Chords) > 0)
		unknown(at, "ground", len(run.Ground) > 0)
		unknown(at, "keep_outs", len(run.KeepOuts) > 0)
		unknown(at, "pins", len(run.Pins) > 0)
		unknown(at, "slopes", len(run.Slopes) > 0)
		unknown(at, "neighbours", len(run.Neighbours) > 0)
		unknown(at.At("start"), "line_post_of", run.Start.LinePostOf != "")
		unknown(at.At("end"), "line_post_of", run.End.LinePostOf != "")
	}
	sp, level := v.At("spec"), levelSpec(r.Spec)
	differs := func(write func(*canon, spec.Spec)) bool {
		return written(func(c *canon) { write(c, r.Spec) }) != written(func(c *canon) { write(c, level) })
	}
	unknown(sp, "access", differs(writeAccess))
	unknown(sp, "alignment", differs(writeAlignment))
	unknown(sp, "curves", !slices.Equal(r.Spec.Curves, level.Curves))
	unknown(sp, "slope", differs(writeSlope))
}

func (r Request) requirePlain(v *fault.List) {
	unknown := func(v *fault.List, field string, given bool) { r.since(v, landVersion, field, given) }
	st := v.At("site")
	unknown(st, "conditions", written(func(c *canon) { writeConditions(c, r.Site.Conditions) }) != "{}")
	for i, run := range r.Site.Runs {
		for j, g := range run.Gates {
			unknown(st.At("runs").Index(i).At("gates").Index(j), "slides", g.Slides)
		}
	}
	sp, s := v.At("spec"), r.Spec
	// Values that came with version 3 in fields that were there before.
	unknown(sp, "concrete.set", s.Concrete.Set == spec.Driven)
	unknown(sp, "slope.fill", s.Slope.Fill == spec.LeaveOpen)
	unknown(sp, "posts.size", s.Posts.Size.Known() && s.Posts.Size.Kind() != section.Sawn)
	unknown(sp, "posts.gate_size", s.Posts.GateSize.Known() && s.Posts.GateSize.Kind() != section.Sawn)
	as := func(s spec.Spec) tree {
		t, _ := parseTree([]byte(written(func(c *canon) { writeSpec(c, s, RulesVersion) }))) // canon writes JSON
		return t.at("spec")
	}
	for _, field := range apart("", as(s).value, as(plainSpec(s)).value) {
		unknown(sp, field, true)
	}
}

// written is the object of what write writes.
func written(write func(*canon)) string {
	c := &canon{}
	c.begin('{')
	write(c)
	c.end('}')
	return string(c.b)
}

// apart are the paths at which two documents differ, in order.
func apart(path string, a, b any) []string {
	x, object := a.(map[string]any)
	y, both := b.(map[string]any)
	if !object || !both {
		if reflect.DeepEqual(a, b) {
			return nil
		}
		return []string{path}
	}
	all := maps.Clone(x)
	maps.Copy(all, y)
	var paths []string
	for _, key := range slices.Sorted(maps.Keys(all)) {
		below := key
		if path != "" {
			below = path + "." + key
		}
		paths = append(paths, apart(below, x[key], y[key])...)
	}
	return paths
}
