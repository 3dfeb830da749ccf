package spec

import (
	"wattle/internal/measure"
	"wattle/internal/section"
)

// gatePosts is what carries a leaf of at least some width, by what the other
// posts are made of (common practice, from memory; steel as fence pipe is
// usually sold for swing gates). Vinyl carries no leaf, whatever its size: what
// stands inside it does. T posts have no leaf to carry.
var gatePosts = []struct {
	of   section.Kind
	leaf measure.Length
	size section.Section
}{
	{section.Sawn, 4 * measure.Foot, "6x6"},
	{section.Pipe, 4 * measure.Foot, "2.875od"},
	{section.Pipe, 6 * measure.Foot, "4od"},
	{section.Pipe, 13 * measure.Foot, "6.625od"},
	{section.Tube, 4 * measure.Foot, "3sq"},
	{section.Tube, 8 * measure.Foot, "4sq"},
	{section.RoundWood, 8 * measure.Foot, "7rd"},
}

// gatePost is a post of the same kind that carries an opening in so many leaves,
// never lighter than the post itself.
func gatePost(post section.Section, opening measure.Length, leaves int) section.Section {
	best, kind := post, post.Kind()
	for _, rung := range gatePosts {
		if rung.of == kind && opening >= measure.Length(leaves)*rung.leaf && rung.size.Width() > best.Width() {
			best = rung.size
		}
	}
	return best
}

// GatePostSize is the section of both posts of a gate: the spec's own, or by rule
// that of line or terminal posts, whichever is heavier, a size or more up where a
// leaf is wide: opening / leaves decides, of a gate that slides its whole opening
// in one leaf.
func (s *Spec) GatePostSize(opening measure.Length, leaves int) section.Section {
	line, terminal := gatePost(s.Posts.Size, opening, leaves), gatePost(s.Posts.TerminalSize, opening, leaves)
	switch {
	case s.Posts.GateSize != "":
		return s.Posts.GateSize
	case terminal.Known() && terminal.Width() >= line.Width():
		return terminal
	default:
		return line
	}
}
