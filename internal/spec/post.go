package spec

import (
	"fmt"

	"wattle/internal/measure"
)

// PostTop is the height of the post top above grade.
func (s *Spec) PostTop() measure.Length { return s.Height + s.Posts.AboveBoards }

// PostStock is the shortest post stock of at least the given length, 0 where
// none is long enough.
func (s *Spec) PostStock(need measure.Length) measure.Length {
	var best measure.Length
	for _, stock := range s.Posts.Stock {
		if stock >= need && (best == 0 || stock < best) {
			best = stock
		}
	}
	return best
}

// Short says why no stock is long enough for the post.
func (s *Spec) Short(p Pit) string {
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
