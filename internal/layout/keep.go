package layout

import (
	"fmt"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/site"
)

// mostNamed is how many posts a caution names one by one.
const mostNamed = 10

// keepPosts leaves old posts that are kept without stock and hole, and says
// what keeping them means.
func (p *planner) keepPosts() {
	var kept []string
	for i := range p.out.Posts {
		post := &p.out.Posts[i]
		if !post.Existing {
			continue
		}
		post.Stock, post.Hole = 0, Hole{}
		name := post.ID
		if post.AboveGrade > p.spec.PostTop()+together {
			name += ", which must stand " + post.AboveGrade.Imperial() + " above grade"
		}
		kept = append(kept, name)
	}
	if len(kept) == 0 {
		return
	}
	names := strings.Join(kept[:min(len(kept), mostNamed)], "; ")
	if len(kept) > mostNamed {
		names += fmt.Sprintf(" and %d more", len(kept)-mostNamed)
	}
	p.tell("existing-posts", "site.runs", "Old posts are kept by choice (%s). They are what fails first: look at each at grade and test that it stands firm; what a new fence on them is worth depends on it. Their sections are taken as those of new posts in their places: measure them.", names)
}

// cautionHoles says where the holes of neighbouring posts reach into one
// another: the earth between them goes, and concrete is counted in both.
func (p *planner) cautionHoles() {
	var over worst
	var first [2]string
	look := func(a, b *Post, apart measure.Length) {
		if reach := (a.Hole.Diameter + b.Hole.Diameter + 1) / 2; a.Hole.Diameter > 0 && b.Hole.Diameter > 0 && apart < reach {
			if over.note(reach-apart, 0); over.by == reach-apart {
				first = [2]string{a.ID, b.ID}
			}
		}
	}
	for i := range p.out.Bays {
		b := &p.out.Bays[i]
		look(&p.out.Posts[b.Start], &p.out.Posts[b.End], b.Width)
	}
	for _, o := range p.out.Openings {
		look(&p.out.Posts[o.Start], &p.out.Posts[o.End], o.Span)
	}
	for s, post := range p.nearRollers() {
		roller := p.out.Openings[s.opening].Roller
		look(post, roller, roller.At.DistanceTo(post.At))
	}
	if over.n > 0 {
		p.tell("holes-overlap", "site.runs", "The holes of %s of neighbouring posts reach into one another, the most by %s at %s and %s: no earth is left between them, and concrete is counted in both. Dig them as one, or move a post.",
			many(over.n, "pair"), over.by.Imperial(), first[0], first[1])
	}
}

// cautionFrost says which posts end above frost since they are driven: a hole is
// dug as deep as frost asks, but a post is driven as deep as it holds.
func (p *planner) cautionFrost() {
	var short worst
	frost := p.spec.Holes.FrostDepth
	look := func(h Hole) {
		if h.Driven() && h.Depth < frost {
			short.note(frost-h.Depth, 0)
		}
	}
	for i := range p.out.Posts {
		look(p.out.Posts[i].Hole)
	}
	for _, s := range p.sliders {
		look(p.out.Openings[s.opening].Roller.Hole)
	}
	if short.n > 0 {
		p.tell("above-frost", "spec.holes.frost_depth", "Frost reaches %s, and %s driven no deeper than %s, so frost can lift them: holes are dug to below frost, but driven posts go only as deep as the spec's least depth or the fence's height asks. Raise the least depth, or set these posts in holes.",
			frost.Imperial(), manyAre(short.n, "post"), (frost - short.by).Imperial())
	}
}

func manyAre(n int, noun string) string {
	if n == 1 {
		return many(n, noun) + " is"
	}
	return many(n, noun) + " are"
}

// cautionNeighbours says where an existing fence leaves too little room to work
// on the board side, or stands where a hole is dug.
func (p *planner) cautionNeighbours() {
	hole := p.linePost().pit
	for i, r := range p.given.Runs {
		for j, n := range r.Neighbours {
			field := fmt.Sprintf("site.runs[%d].neighbours[%d]", i, j)
			side := map[site.Side]string{site.Left: "left", site.Right: "right"}[n.Side]
			if n.Side == r.Face && n.Gap < *p.spec.Access {
				what, instead := "the side of the boards, and fastening them", "hang them on the other side, or build panels and stand them up"
				if !p.spec.HasBoards() {
					what, instead = "the side it is hung on, and fastening it", "hang it on the other side"
				}
				p.tell("no-access", field, "Run %q, %s to %s: a fence stands %s off on the %s, %s from there takes about %s; %s.",
					r.ID, n.From.Imperial(), n.To.Imperial(), n.Gap.Imperial(), side, what, p.spec.Access.Imperial(), instead)
			}
			if n.Gap < hole.Radius() && !hole.Driven() {
				p.tell("hole-near-neighbour", field, "Run %q, %s to %s: holes %s across reach under the fence that stands %s off on the %s; dig there by hand and guard its footings.",
					r.ID, n.From.Imperial(), n.To.Imperial(), hole.Diameter.Imperial(), n.Gap.Imperial(), side)
			}
		}
	}
}
