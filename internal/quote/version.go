package quote

import (
	"slices"

	"wattle/internal/arc"
	"wattle/internal/fault"
	"wattle/internal/measure"
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
// of levelVersion.
func plainSpec(s spec.Spec) spec.Spec {
	s.Layout.Hang = spec.Lapped
	s.Posts.TerminalSize = s.Posts.Size
	s.Holes.TerminalDiameter = s.Holes.Diameter
	s.Rails.MaxSpan = 1
	s.Boards.Pattern = spec.SideBySide
	s.Fasteners.ScrewsPerRailEnd, s.Fasteners.Coating = 4, spec.HotDip
	s.Gates.Frame = spec.WoodFrame
	s.Labour.By = spec.ByFence
	return s
}

// requireLevel notes everything of a request that its rules version does not
// know.
func (r Request) requireLevel(v *fault.List) {
	if r.RulesVersion > levelVersion {
		return
	}
	unknown := func(v *fault.List, field string, given bool) {
		v.Require(!given, field, "needs rules version %d; this quote is of version %d", levelVersion+1, r.RulesVersion)
	}
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
	written := func(write func(*canon)) string {
		c := &canon{}
		write(c)
		return string(c.b)
	}
	differs := func(write func(*canon, spec.Spec)) bool {
		return written(func(c *canon) { write(c, r.Spec) }) != written(func(c *canon) { write(c, level) })
	}
	unknown(sp, "access", differs(writeAccess))
	unknown(sp, "alignment", differs(writeAlignment))
	unknown(sp, "curves", !slices.Equal(r.Spec.Curves, level.Curves))
	unknown(sp, "slope", differs(writeSlope))
}
