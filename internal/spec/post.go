package spec

import (
	"fmt"

	"wattle/internal/measure"
	"wattle/internal/section"
)

// PostTop is the height of the post top above grade.
func (s Spec) PostTop() measure.Length { return s.Height + s.Posts.AboveBoards }

// GatePostSize is the section of both posts of a gate: the spec's own, or that
// of terminal posts, where those are line posts by rule a size up (4x4 to 6x6)
// from opening / leaves of 4 ft on (common practice); a 6x6 stays.
func (s Spec) GatePostSize(opening measure.Length, leaves int) section.Section {
	size := s.Posts.Size
	if s.Posts.Size == "4x4" && opening >= measure.Length(leaves)*4*measure.Foot {
		size = "6x6"
	}
	switch terminal := s.Posts.TerminalSize; {
	case s.Posts.GateSize != "":
		return s.Posts.GateSize
	case terminal.Known() && terminal.Width() >= size.Width():
		return terminal
	default:
		return size
	}
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
