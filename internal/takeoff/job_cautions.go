package takeoff

import (
	"fmt"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// jobCautions are what the estimator should look at in how the parts of a job go
// together (common practice). They came after plainRules.
func (g *gathered) jobCautions() []layout.Caution {
	if g.plain {
		return nil
	}
	var all []layout.Caution
	add := func(code, field, format string, args ...any) {
		all = append(all, layout.Caution{Code: code, Field: field, Text: fmt.Sprintf(format, args...)})
	}
	s := g.s
	if left := g.outsideFenceLabour(); len(left) > 0 {
		add("labour-by-fence-only", "spec.labour.by", "Labour by fence is the hours of the new fence and its gates; %s is not in it: add a line for it, or count labour by tasks.", strings.Join(left, " and "))
	}
	if s.Extras.CapBoard != "" && capped(s) && !families[s.Family].ownCaps && s.Posts.AboveBoards <= 0 {
		add("caps-under-cap-board", "spec.extras.cap_board", "A cap board runs over the tops of the posts, and caps for them are counted too; turn posts.caps off, or let the posts stand above the boards.")
	}
	if old := g.oldFence(); old.ft3.Sign() > 0 && old.pounds.Sign() > 0 {
		add("disposal-by-both", "site.conditions.tear_out", "Disposal of the old fence is counted by volume and by weight; where it is charged by one of them, price the other at zero or leave its figures out.")
	}
	if s.Concrete.Set == spec.Driven {
		if sawn := g.sawn(); sawn != "" {
			add("driven-sawn-posts", "spec.concrete.set", "Sawn posts of %s are hard to drive and split or lean; steel, T posts or pointed round wood are driven, sawn ones are set in holes.", sawn)
		}
	}
	if high := s.BoardLength(); s.HasBoards() && s.Height > tallOn4x4 && s.Posts.Size == "4x4" {
		add("tall-on-4x4", "spec.posts.size", "Boards of %s that stand %s high on posts of 4x4 up to %s apart take much wind; have the posts and their footings checked by a licensed person or the local code, or take heavier or closer posts.",
			high.Imperial(), s.Height.Imperial(), g.widestBay().Imperial())
	}
	for _, o := range g.l.Openings {
		if g.l.Posts[o.Start].Size.Kind() == section.Vinyl || g.l.Posts[o.End].Size.Kind() == section.Vinyl {
			add("vinyl-gate-post", "spec.posts.gate_size", "Gate %s hangs between posts of vinyl, which carry no leaf by themselves; each needs a metal or wood post inside.", o.Gate)
		}
	}
	return all
}

// tallOn4x4 is the height past which boards on 4x4 posts are looked at.
const tallOn4x4 = 6 * measure.Foot

// widestBay is that of the layout: the spec's own limit is no part of what is built.
func (g *gathered) widestBay() measure.Length {
	var widest measure.Length
	for _, b := range g.l.Bays {
		widest = max(widest, b.Width)
	}
	return widest
}

// outsideFenceLabour is the work of the job that labour by fence does not count.
func (g *gathered) outsideFenceLabour() []string {
	if g.s.Labour.Exclude || g.s.Labour.By == spec.ByTasks {
		return nil
	}
	var left []string
	if len(g.c.TearOut) > 0 {
		left = append(left, "taking out the old fence")
	}
	if g.s.Extras.Stain.Coats > 0 {
		left = append(left, "staining")
	}
	return left
}

// sawn is the section of the first sawn post that is set, "" where there is none.
func (g *gathered) sawn() section.Section {
	var known sectionKinds
	for _, p := range standing(g.l) {
		if !p.Existing && known.of(p.Size) == section.Sawn {
			return p.Size
		}
	}
	return ""
}
