package spec

import (
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/section"
)

// Duty is what a post must hold as far as it decides its hole; the higher wins
// where two meet.
type Duty int

const (
	LineDuty Duty = iota
	TerminalDuty
	GateDuty
)

// Pit is how a post of one kind is set: its hole, and the stick it takes.
// Depth = Gravel + Float + Embedment.
type Pit struct {
	Depth, Diameter, Gravel, Float, Embedment measure.Length
	// Rule decided Depth. ByDriving: there is no hole, Depth is the Embedment
	// and Diameter the post's width.
	Rule HoleRule
	// Need is the least length of the post, PostTop + Embedment; Stock the
	// shortest stock that has it, 0 where none has.
	Need, Stock measure.Length
	// FrostlessStock is the stock that would do if no frost depth were given,
	// 0 where none would.
	FrostlessStock measure.Length
}

// Radius of the hole, rounded up to a nanometre.
func (p Pit) Radius() measure.Length { return (p.Diameter + 1) / 2 }

// Driven reports that the post is driven, and no hole is dug.
func (p Pit) Driven() bool { return p.Rule == ByDriving }

// Pit is how a post of the given size and duty is set. A hole is as deep as the
// line holes, a gate's deeper by GateExtraDepth, and that of a terminal or gate
// post at least TerminalDepth. A post that is driven goes as deep as rules other
// than frost ask of a line hole, or TerminalDepth: frost is no reason to drive it
// deeper, but for a caution.
func (s *Spec) Pit(size section.Section, duty Duty) Pit {
	p := Pit{Diameter: s.HoleDiameter(size, duty)}
	frostless, _ := s.depthWithoutFrost()
	if s.Drives(size) {
		p.Depth, p.Rule = frostless, ByDriving
	} else {
		p.Gravel, p.Float = given(s.Holes.Gravel), s.Holes.Float
		if p.Depth, p.Rule = s.HoleDepth(); duty == GateDuty {
			p.Depth += given(s.Holes.GateExtraDepth)
			frostless += given(s.Holes.GateExtraDepth)
		}
	}
	if least := s.Holes.TerminalDepth; duty > LineDuty {
		if least > p.Depth && !p.Driven() {
			p.Rule = ByTerminal
		}
		p.Depth, frostless = max(p.Depth, least), max(frostless, least)
	}
	under := p.Gravel + p.Float
	p.Embedment = p.Depth - under
	p.Need = s.PostTop() + p.Embedment
	p.Stock = s.PostStock(p.Need)
	p.FrostlessStock = s.PostStock(s.PostTop() + frostless - under)
	return p
}

// validatePit notes holes that hold no post, and post stock too short for the
// line posts' and the terminal posts' holes, once all that they depend on is
// right; gate posts are for the layout, which knows whether there are any.
func (s *Spec) validatePit(v *fault.List) {
	line, terminal := s.Pit(s.Posts.Size, LineDuty), s.Pit(s.Posts.TerminalSize, TerminalDuty)
	if s.validateOnePit(v, s.Posts.Size, line, "diameter") && terminal != line {
		s.validateOnePit(v, s.Posts.TerminalSize, terminal, "terminal_diameter")
	}
}

func (s *Spec) validateOnePit(v *fault.List, size section.Section, p Pit, diameter string) bool {
	before := v.Len()
	holes := v.At("holes")
	switch {
	case p.Depth == 0:
		holes.Add("", "no rule gives a depth; expected by_height, min_depth or frost_depth")
	case p.Embedment <= 0:
		holes.Add("", "gravel and float of %s leave nothing of a hole of %s for the post", (p.Depth - p.Embedment).Imperial(), p.Depth.Imperial())
	case p.Stock == 0:
		v.At("posts").Add("stock", "%s", s.Short(p))
	}
	if p.Driven() {
		return v.Len() == before
	}
	width := size.Width()
	if p.Diameter <= width {
		holes.Add(diameter, "a hole of %s takes no post of %s", measure.Tape(p.Diameter), measure.Tape(width))
	}
	if stop := s.Concrete.StopBelowGrade; stop >= p.Depth-p.Gravel && s.Concrete.Set != NoSet {
		v.At("concrete").Add("stop_below_grade", "%s leaves no concrete in a hole of %s with %s of gravel", measure.Tape(stop), measure.Tape(p.Depth), measure.Tape(p.Gravel))
	}
	return v.Len() == before
}

// validateDriven notes what is asked of holes where every post is driven and
// none is dug.
func (s *Spec) validateDriven(v *fault.List) {
	if s.Concrete.Set != Driven {
		return
	}
	none := func(v *fault.List, field string, l measure.Length) {
		v.Require(l <= 0, field, "driven posts have no hole; expected none, found %s", measure.Tape(l))
	}
	none(v.At("holes"), "gravel", given(s.Holes.Gravel))
	none(v.At("holes"), "float", s.Holes.Float)
	none(v.At("concrete"), "crown", s.Concrete.Crown)
}
