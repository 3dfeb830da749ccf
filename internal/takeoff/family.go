package takeoff

import (
	"wattle/internal/layout"
	"wattle/internal/spec"
)

// family is a kind of fence: what it is, as data, and how what hangs between its
// posts is counted. One more is one more file with a `var _ = define(family{...})`
// in it; no other file knows it. Posts, holes, gates, options and labour are
// counted for all of them by the rules that they share.
type family struct {
	spec.Definition
	// count adds what hangs between the posts: needs, and pieces to cut.
	count func(*gathered)
	// rules of its own derivations; their ids begin with the family's word.
	rules []rule
	// postAs tells posts of one size apart, by their index in standing, that are
	// different items, mortised at one side, at two or through: it is part of the
	// item's name. Nil: they are one item.
	postAs func(*layout.Layout) func(i int, p *layout.Post) string
	// ownCaps: the family counts its caps itself.
	ownCaps bool
}

var families = map[spec.Family]*family{}

// define adds a family, to package spec too where that does not know it. Its
// result only lets a file call it at the level of the package.
//
//nolint:unparam // see there
func define(f family) struct{} {
	if f.Family.Definition() == nil {
		spec.Define(f.Definition)
	}
	families[f.Family] = &f
	for _, r := range f.rules {
		if _, taken := rulesByID[r.id]; taken {
			panic("takeoff: two rules are called " + r.id)
		}
		rulesByID[r.id] = &knownRule{r, templateOf(r.sentence)}
	}
	return struct{}{}
}
