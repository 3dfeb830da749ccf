package takeoff

import (
	"slices"

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

// kindOf is the kind of a post of the family.
func (f *family) kindOf(l *layout.Layout, p layout.Post) postKind {
	k := postKind{size: p.Size, stock: p.Stock}
	if f.postAs != nil {
		k.as = f.postAs(l, p)
	}
	return k
}

// standing are all posts: those of the fence, and those that carry rollers beside
// it.
func standing(l *layout.Layout) []layout.Post {
	var rollers []layout.Post
	for _, o := range l.Openings {
		if o.Roller != nil {
			rollers = append(rollers, *o.Roller)
		}
	}
	return slices.Concat(l.Posts, rollers)
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
func keptPosts(l *layout.Layout) map[section.Section]int {
	kept := make(map[section.Section]int)
	for _, p := range standing(l) {
		if p.Existing {
			kept[p.Size]++
		}
	}
	return kept
}

func capped(s spec.Spec) bool { return value(s.Posts.Caps) }

// posts are the sticks that stand in the ground: per size and stock, how long
// they must be, and how many do what.
func (g *gathered) posts(f *family) {
	l := g.l
	type duty struct {
		postKind
		layout.Role
	}
	var kinds tally[postKind]
	var duties tally[duty]
	kept := keptPosts(l)
	for i, p := range standing(l) {
		if !p.Existing {
			k := f.kindOf(l, p)
			kinds.add(k, i, 1)
			duties.add(duty{k, p.Role}, i, 1)
		}
	}
	lengths := settings(l, f)
	for i, k := range kinds.kinds {
		n := need{item: postItem(k.size, k.as, k.stock), net: whole(kinds.times[i]), steps: lengths.steps(k)}
		if old := kept[k.size]; old > 0 {
			n.steps = append(n.steps, step("post.kept", "").exactly(amountOf(old, "post")))
		}
		var byRole []Input
		for _, role := range layout.Roles() {
			for j, d := range duties.kinds {
				if d == (duty{k, role}) {
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
		if old := kept[size]; old > 0 {
			inputs = append(inputs, count("kept", old, ""))
		}
		g.need(need{item: capItem(size), net: whole(n), steps: []Step{
			step("cap.count", "", inputs...).exactly(amountOf(n, "cap"))}})
	}
}
