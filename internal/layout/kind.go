package layout

import (
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// kind is what decides how a post is set.
type kind struct {
	size section.Section
	gate bool
}

// setPost is a post of one kind with its hole, still without a place.
type setPost struct {
	width measure.Length
	pit   spec.Pit
	post  Post
}

// kind is the set post of one kind, worked out once.
func (p *planner) kind(k kind) *setPost {
	if known := p.kinds[k]; known != nil {
		return known
	}
	pit := p.spec.Pit(k.size, k.gate)
	governs := string(pit.Rule)
	if k.gate {
		governs += "+gate"
	}
	set := &setPost{width: k.size.Width(), pit: pit}
	set.post = Post{
		Size:       k.size,
		Width:      set.width,
		AboveGrade: p.spec.PostTop(),
		Stock:      pit.Stock,
		Hole: Hole{
			Diameter:  pit.Diameter,
			Depth:     pit.Depth,
			Gravel:    *p.spec.Holes.Gravel,
			Float:     p.spec.Holes.Float,
			Embedment: pit.Embedment,
			Governs:   governs,
		},
	}
	p.kinds[k] = set
	return set
}
