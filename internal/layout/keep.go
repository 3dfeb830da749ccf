package layout

import (
	"fmt"
	"strings"

	"wattle/internal/site"
)

// mostNamed is how many posts a caution names one by one.
const mostNamed = 10

// keepPosts leaves old posts that are kept without stock and hole, and says
// what keeping them means.
func (p *planner) keepPosts() {
	var kept []string
	for i := range p.out.Posts {
		if post := &p.out.Posts[i]; post.Existing {
			post.Stock, post.Hole = 0, Hole{}
			kept = append(kept, post.ID)
		}
	}
	if len(kept) == 0 {
		return
	}
	names := strings.Join(kept[:min(len(kept), mostNamed)], ", ")
	if len(kept) > mostNamed {
		names += fmt.Sprintf(" and %d more", len(kept)-mostNamed)
	}
	p.tell("existing-posts", "site.runs", "Old posts are kept by choice (%s). They are what fails first: look at each at grade and test that it stands firm; what a new fence on them is worth depends on it.", names)
}

// cautionNeighbours says where an existing fence leaves too little room to work
// on the board side, or stands where a hole is dug.
func (p *planner) cautionNeighbours() {
	hole := p.kind(kind{size: p.spec.Posts.Size}).pit
	for i, r := range p.given.Runs {
		for j, n := range r.Neighbours {
			field := fmt.Sprintf("site.runs[%d].neighbours[%d]", i, j)
			side := map[site.Side]string{site.Left: "left", site.Right: "right"}[n.Side]
			if n.Side == r.Face && n.Gap < *p.spec.Access {
				p.tell("no-access", field, "Run %q, %s to %s: a fence stands %s off on the %s, the side of the boards, and fastening them from there takes about %s; hang them on the other side, or build panels and stand them up.",
					r.ID, n.From.Imperial(), n.To.Imperial(), n.Gap.Imperial(), side, p.spec.Access.Imperial())
			}
			if n.Gap < hole.Radius() {
				p.tell("hole-near-neighbour", field, "Run %q, %s to %s: holes %s across reach under the fence that stands %s off on the %s; dig there by hand and guard its footings.",
					r.ID, n.From.Imperial(), n.To.Imperial(), hole.Diameter.Imperial(), n.Gap.Imperial(), side)
			}
		}
	}
}
