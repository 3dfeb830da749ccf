package quote

import (
	"wattle/internal/arc"
	"wattle/internal/measure"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

// What a spec says of the line and of the ground: the fields that came with
// rules version 2.

func writeAccess(c *canon, s spec.Spec) { c.optionalLength("access", s.Access) }

func writeAlignment(c *canon, s spec.Spec) {
	a := s.Alignment
	c.in("alignment", '{')
	c.optionalBool("above", a.Above)
	c.int("anchor_angle", int64(a.AnchorAngle))
	c.int("concrete_angle", int64(a.ConcreteAngle))
	c.int("grade_break", int64(a.GradeBreak))
	c.length("pull_spacing", a.PullSpacing)
	c.text("rules", a.Rules)
	c.end('}')
}

func writeSlope(c *canon, s spec.Spec) {
	p := s.Slope
	c.in("slope", '{')
	c.optionalBool("along_grade", p.AlongGrade)
	c.text("fill", string(p.Fill))
	c.text("kick_size", string(p.KickSize))
	c.optionalLength("max_ground_gap", p.MaxGroundGap)
	c.length("max_rack", p.MaxRack)
	c.text("mode", string(p.Mode))
	c.text("rail_ends", string(p.RailEnds))
	c.end('}')
}

func writeCurves(c *canon, s spec.Spec) {
	c.in("curves", '[')
	for _, row := range s.Curves {
		c.begin('{')
		c.length("chord", row.Spacing)
		c.length("radius", row.Radius)
		c.end('}')
	}
	c.end(']')
}

func readGround(t tree, s *spec.Spec) {
	angle := func(t tree, key string) measure.Angle { return measure.Angle(t.at(key).integer()) }
	s.Access = t.optionalLength("access")
	a := t.at("alignment")
	s.Alignment = spec.Alignment{
		Rules: a.text("rules"), Above: a.optionalBool("above"),
		AnchorAngle: angle(a, "anchor_angle"), ConcreteAngle: angle(a, "concrete_angle"),
		PullSpacing: a.length("pull_spacing"), GradeBreak: angle(a, "grade_break"),
	}
	for _, row := range t.all("curves") {
		s.Curves = append(s.Curves, arc.Limit{Radius: row.length("radius"), Spacing: row.length("chord")})
	}
	p := t.at("slope")
	s.Slope = spec.Slope{
		Mode: spec.SlopeMode(p.text("mode")), RailEnds: spec.RailEnds(p.text("rail_ends")),
		MaxRack: p.length("max_rack"), AlongGrade: p.optionalBool("along_grade"),
		MaxGroundGap: p.optionalLength("max_ground_gap"), Fill: spec.Fill(p.text("fill")),
		KickSize: timber.Size(p.text("kick_size")),
	}
}
