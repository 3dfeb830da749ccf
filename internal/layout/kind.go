package layout

import (
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// kind is what decides how a post is set.
type kind struct {
	size section.Section
	duty spec.Duty
}

// linePost and terminalPost are the set posts of the spec's two sections.
func (p *planner) linePost() *setPost { return p.kind(kind{size: p.spec.Posts.Size}) }

func (p *planner) terminalPost() *setPost {
	return p.kind(kind{p.spec.Posts.TerminalSize, spec.TerminalDuty})
}

// setPost is a post of one kind with its hole, still without a place.
type setPost struct {
	kind  kind
	width measure.Length
	pit   spec.Pit
	post  Post
}

// kind is the set post of one kind, worked out once. There are a handful, so they
// are not worth a map.
func (p *planner) kind(k kind) *setPost {
	for _, known := range p.kinds {
		if known.kind == k {
			return known
		}
	}
	pit := p.spec.Pit(k.size, k.duty)
	governs := string(pit.Rule)
	if k.duty == spec.GateDuty && !pit.Driven() && pit.Rule != spec.ByTerminal {
		governs += "+gate"
	}
	set := &setPost{kind: k, width: k.size.Width(), pit: pit}
	set.post = Post{
		Size:       k.size,
		Width:      set.width,
		AboveGrade: p.spec.PostTop(),
		Stock:      pit.Stock,
		Hole: Hole{
			Diameter:  pit.Diameter,
			Depth:     pit.Depth,
			Gravel:    pit.Gravel,
			Float:     pit.Float,
			Embedment: pit.Embedment,
			Governs:   governs,
		},
	}
	p.kinds = append(p.kinds, set)
	return set
}
