package spec

import (
	"fmt"

	"wattle/internal/measure"
	"wattle/internal/section"
)

// PostTop is the height of the post top above grade.
func (s Spec) PostTop() measure.Length { return s.Height + s.Posts.AboveBoards }

// GatePostSize is the section of both posts of a gate: the spec's own, or by
// rule a size up (4x4 to 6x6) where opening / leaves is 4 ft or more (common
// practice); a 6x6 stays.
func (s Spec) GatePostSize(opening measure.Length, leaves int) section.Section {
	switch {
	case s.Posts.GateSize != "":
		return s.Posts.GateSize
	case s.Posts.Size == "4x4" && opening >= measure.Length(leaves)*4*measure.Foot:
		return "6x6"
	case s.Posts.TerminalSize.Width() > s.Posts.Size.Width():
		return s.Posts.TerminalSize
	default:
		return s.Posts.Size
	}
}

// HoleRule names what decides the depth of a hole.
type HoleRule string

const (
	ByMinimum HoleRule = "minimum"
	ByHeight  HoleRule = "height"
	ByFrost   HoleRule = "frost"
)

// HoleDepth is the depth of a line hole to its bottom, gravel included, and the
// rule that decides it: the largest of the spec's minimum; 24 in + 3 in per
// foot of height over 4 ft, part feet in proportion [AS-2 for chain link, the
// same for wood by common practice]; frost depth + margin where a frost depth
// is given. Of equal depths the rule named first decides.
func (s Spec) HoleDepth() (measure.Length, HoleRule) {
	depth, rule := s.depthWithoutFrost()
	if frost := s.Holes.FrostDepth + s.Holes.FrostMargin; s.Holes.FrostDepth > 0 && frost > depth {
		return frost, ByFrost
	}
	return depth, rule
}

func (s Spec) depthWithoutFrost() (measure.Length, HoleRule) {
	depth, rule := s.Holes.MinDepth, ByMinimum
	if given(s.Holes.ByHeight) {
		over := max(s.Height-4*measure.Foot, 0)
		byHeight := 24*measure.Inch + (over+2)/4 // 3 in per foot is a quarter, to the nearest nanometre
		if byHeight > depth {
			depth, rule = byHeight, ByHeight
		}
	}
	return depth, rule
}

// holeFor is the diameter of the hole of a post by rule: wood and what is not
// pipe 3 x the nominal width (common practice); pipe 4 x the outside diameter up
// to 4 in, 3 x above [AS-2]; what is driven makes a hole of its own width.
func holeFor(size section.Section, set Setting) measure.Length {
	switch nominal := size.Nominal(); {
	case set == Driven:
		return size.Width()
	case size.Kind() == section.Pipe && nominal <= 4*measure.Inch:
		return 4 * nominal
	default:
		return 3 * nominal
	}
}

// HoleDiameter is the diameter of the hole of a post of the given size: the
// spec's own for line posts, else by rule and never less than the line holes'.
func (s Spec) HoleDiameter(size section.Section) measure.Length {
	if size == s.Posts.Size && s.Holes.Diameter > 0 {
		return s.Holes.Diameter
	}
	return max(holeFor(size, s.Concrete.Set), s.Holes.Diameter)
}

// Pit is how a post of one kind is set: its hole, and the stick it takes.
// Depth = gravel + float + Embedment.
type Pit struct {
	Depth, Diameter, Embedment measure.Length
	Rule                       HoleRule
	// Need is the least length of the post, PostTop + Embedment; Stock the
	// shortest stock that has it, 0 where none has.
	Need, Stock measure.Length
	// FrostlessStock is the stock that would do if no frost depth were given,
	// 0 where none would.
	FrostlessStock measure.Length
}

// Radius of the hole, rounded up to a nanometre.
func (p Pit) Radius() measure.Length { return (p.Diameter + 1) / 2 }

// Pit is how a post of the given size is set, in a gate's hole or a line's.
func (s Spec) Pit(size section.Section, gate bool) Pit {
	under := given(s.Holes.Gravel) + s.Holes.Float
	var p Pit
	p.Depth, p.Rule = s.HoleDepth()
	frostless, _ := s.depthWithoutFrost()
	if gate {
		p.Depth += given(s.Holes.GateExtraDepth)
		frostless += given(s.Holes.GateExtraDepth)
	}
	p.Diameter = s.HoleDiameter(size)
	p.Embedment = p.Depth - under
	p.Need = s.PostTop() + p.Embedment
	p.Stock = s.PostStock(p.Need)
	p.FrostlessStock = s.PostStock(s.PostTop() + frostless - under)
	return p
}

// PostStock is the shortest post stock of at least the given length, 0 where
// none is long enough.
func (s Spec) PostStock(need measure.Length) measure.Length {
	var best measure.Length
	for _, stock := range s.Posts.Stock {
		if stock >= need && (best == 0 || stock < best) {
			best = stock
		}
	}
	return best
}

// Short says why no stock is long enough for the post.
func (s Spec) Short(p Pit) string {
	return fmt.Sprintf("a post of %s (%s above grade, %s below) needs a longer stick than any here; the longest is %s",
		p.Need.Imperial(), s.PostTop().Imperial(), p.Embedment.Imperial(), longest(s.Posts.Stock).Imperial())
}

func longest(stock []measure.Length) measure.Length {
	var l measure.Length
	for _, s := range stock {
		l = max(l, s)
	}
	return l
}

// given is what p points to, or zero: defaulted specs have no nil fields.
func given[T any](p *T) T {
	if p == nil {
		var zero T
		return zero
	}
	return *p
}
