package layout

import (
	"fmt"

	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// Caution is something a person should look at. Code is stable
// (lower-kebab-case); Text is a sentence with figures. Plan's codes:
//
//	feather-widened         more bays share the rest than asked, or one is too narrow
//	even-fallback           all bays are even, since the method left one too narrow
//	bay-below-minimum       even so, bays are narrower than the spec's least
//	short-stretch           a stretch is itself shorter than the least bay
//	clear-opening-differs   shared gate posts leave another opening than given
//	boards-change-side      two runs meet with their boards on different sides
//	frost-lengthens-posts   frost takes posts to a longer stock
//	gate-lengthens-posts    the deeper hole takes gate posts to a longer stock
//	ground-lengthens-posts  steps, or gates on a slope, take posts to a longer stock
//	runs-cross              legs cross or touch without a shared post
//	crossings-not-checked   too many legs lie together to look at every pair
//	posts-moved             keep-outs or the ground move posts off the method's places
//	bays-added              keep-outs take more bays than the length alone
//	existing-posts          old posts are kept
//	ground-differs          runs that share a post disagree about the ground there
//	ground-extended         the measured ground ends short of the run
//	ground-gap              gaps under the fence are wide, and filled or left
//	ground-touches-boards   the ground rises above the foot of the fence
//	gate-on-slope           the ground changes under a gate's opening
//	obstacle-under-leaf     an obstacle lies where an open leaf slides
//	tall-posts              posts stand much taller than the fence is high
//	holes-overlap           holes of neighbouring posts reach into one another
//	runs-go-on              pull posts are not looked for across two runs that go on as one
//	above-frost             driven posts end above frost
//	no-access               a neighbouring fence leaves too little room to work in
//	hole-near-neighbour     a hole reaches the line of a neighbouring fence
type Caution struct {
	Code, Text string
	// Field is the part of the request it is about, where there is one.
	Field string
}

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

// cautionStock says where the ground, frost or the deeper hole of a gate takes
// posts to a longer stock: a consequence of the rules that costs money.
func (p *planner) cautionStock() {
	if w := p.longer; w.n > 0 {
		p.tell("ground-lengthens-posts", "site.runs", "Steps, or gates on a slope, take %s to a longer stock: up to %s instead of %s. Narrower bays step less, and racked ones not at all.",
			many(w.n, "post"), w.by.Imperial(), w.from.Imperial())
	}
	line := p.linePost().pit
	if before := line.FrostlessStock; before > 0 && line.Stock > before {
		p.out.Cautions = append(p.out.Cautions, Caution{
			Code: "frost-lengthens-posts",
			Text: fmt.Sprintf("Frost takes holes to %s, so a post needs %s and is bought at %s instead of %s.",
				line.Depth.Imperial(), line.Need.Imperial(), line.Stock.Imperial(), before.Imperial()),
			Field: "spec.holes.frost_depth",
		})
	}
	for i := range p.nodes {
		if p.nodes[i].kind.duty < spec.GateDuty || p.nodes[i].existing {
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
