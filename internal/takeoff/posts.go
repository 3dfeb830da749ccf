package takeoff

import (
	"iter"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
)

// postKind is what posts bought as one item have in common.
type postKind struct {
	size  section.Section
	as    string // see family.postAs
	stock measure.Length
}

// kindsOf is the kind of each post of the family, by its index in standing.
func (f *family) kindsOf(l *layout.Layout) func(i int, p *layout.Post) postKind {
	as := func(int, *layout.Post) string { return "" }
	if f.postAs != nil {
		as = f.postAs(l)
	}
	return func(i int, p *layout.Post) postKind { return postKind{p.Size, as(i, p), p.Stock} }
}

// standing are all posts: those of the fence, by their index in it, and after
// them those that carry rollers beside it.
func standing(l *layout.Layout) iter.Seq2[int, *layout.Post] {
	return func(yield func(int, *layout.Post) bool) {
		n := len(l.Posts)
		for i := range l.Posts {
			if !yield(i, &l.Posts[i]) {
				return
			}
		}
		for _, o := range l.Openings {
			if o.Roller != nil {
				if !yield(n, o.Roller) {
					return
				}
				n++
			}
		}
	}
}

// postSizes are the sizes of all posts, kept ones too.
func postSizes(l *layout.Layout) tally[section.Section] {
	var sizes tally[section.Section]
	for i, p := range standing(l) {
		sizes.add(p.Size, i, 1)
	}
	return sizes
}

// keptPosts are how many old posts of a size are kept.
func keptPosts(l *layout.Layout) tally[section.Section] {
	var kept tally[section.Section]
	for i, p := range standing(l) {
		if p.Existing {
			kept.add(p.Size, i, 1)
		}
	}
	return kept
}

func capped(s *spec.Spec) bool { return value(s.Posts.Caps) }

// posts are the sticks that stand in the ground: per size and stock, how long
// they must be, and how many do what.
func (g *gathered) posts(f *family) {
	l := g.l
	type duty struct {
		kind int // among kinds
		layout.Role
	}
	var kinds tally[postKind]
	var duties tally[duty]
	var lengths postSettings
	kept, kindOf := keptPosts(l), f.kindsOf(l)
	for i, p := range standing(l) {
		if !p.Existing {
			kind := kinds.add(kindOf(i, p), i, 1)
			duties.add(duty{kind, p.Role}, i, 1)
			lengths.post(i, p, kind)
		}
	}
	roles := layout.Roles()
	for i, k := range kinds.kinds {
		n := need{item: postItem(k.size, k.as, k.stock), net: whole(kinds.times[i]), steps: lengths.steps(i, k.stock)}
		g.weighPost(n.item, k.size, k.stock)
		if old := kept.of(k.size); old > 0 {
			n.steps = append(n.steps, step("post.kept", "").exactly(amountOf(old, "post")))
		}
		byRole := make([]Input, 0, min(len(roles), len(duties.kinds)))
		for _, role := range roles {
			for j, d := range duties.kinds {
				if d == (duty{i, role}) {
					byRole = append(byRole, count(role.String(), duties.times[j], ""))
				}
			}
		}
		n.steps = append(n.steps, step("post.count", "", byRole...).exactly(amountOf(kinds.times[i], "post")))
		g.need(n)
	}
}

// caps are one on every post, by size: on a kept one too, whose top is as open
// to the rain and is to match the others.
func (g *gathered) caps() {
	if !capped(g.s) {
		return
	}
	sizes, kept := postSizes(g.l), keptPosts(g.l)
	for i, size := range sizes.kinds {
		n := sizes.times[i]
		inputs := []Input{count("posts", n, "post")}
		if old := kept.of(size); old > 0 {
			inputs = append(inputs, count("kept", old, ""))
		}
		g.need(need{item: capItem(size), net: whole(n), steps: []Step{
			step("cap.count", "", inputs...).exactly(amountOf(n, "cap"))}})
	}
}
