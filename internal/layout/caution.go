package layout

import (
	"fmt"

	"wattle/internal/measure"
	"wattle/internal/site"
)

// cautionClear says where a gate's posts, one of them shared or at a corner, do
// not leave the clear opening that was given. Its parts are made for the
// opening as given.
func (p *planner) cautionClear(a, b *mark, gate site.Gate, span measure.Length) {
	clear := span - (p.nodes[a.node].width+p.nodes[b.node].width)/2
	if near(clear, gate.Width) {
		return
	}
	p.out.Cautions = append(p.out.Cautions, Caution{
		Code: "clear-opening-differs",
		Text: fmt.Sprintf("Gate %q is given with a clear opening of %s; its posts stand %s apart, face to face.",
			gate.ID, gate.Width.Imperial(), clear.Imperial()),
		Field: fmt.Sprintf("site.runs[%d].gates[%d].width", a.run, a.gateOut),
	})
}

// cautionStock says where the ground, frost or the deeper hole of a gate takes posts to a
// longer stock: a consequence of the rules that costs money.
func (p *planner) cautionStock() {
	if w := p.longer; w.n > 0 {
		p.tell("ground-lengthens-posts", "site.runs", "Steps, or gates on a slope, take %d posts to a longer stock: up to %s instead of %s. Narrower bays step less, and racked ones not at all.",
			w.n, w.by.Imperial(), w.from.Imperial())
	}
	line := p.spec.Pit(p.spec.Posts.Size, false)
	if before := line.FrostlessStock; before > 0 && line.Stock > before {
		p.out.Cautions = append(p.out.Cautions, Caution{
			Code: "frost-lengthens-posts",
			Text: fmt.Sprintf("Frost takes holes to %s, so a post needs %s and is bought at %s instead of %s.",
				line.Depth.Imperial(), line.Need.Imperial(), line.Stock.Imperial(), before.Imperial()),
			Field: "spec.holes.frost_depth",
		})
	}
	for i := range p.nodes {
		if !p.nodes[i].kind.gate {
			continue
		}
		gate := p.kind(p.nodes[i].kind).pit
		if gate.Stock > line.Stock {
			p.out.Cautions = append(p.out.Cautions, Caution{
				Code: "gate-lengthens-posts",
				Text: fmt.Sprintf("Gate posts stand in holes of %s, so they need %s and are bought at %s instead of %s.",
					gate.Depth.Imperial(), gate.Need.Imperial(), gate.Stock.Imperial(), line.Stock.Imperial()),
				Field: "spec.holes.gate_extra_depth",
			})
		}
		return // all gate posts need the same length
	}
}
