package takeoff

import (
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

// postKind is what posts bought as one item have in common.
type postKind struct {
	size  timber.Size
	stock measure.Length
}

// postKinds are the posts to buy; the kept ones are none of them.
func postKinds(l *layout.Layout) tally[postKind] {
	var kinds tally[postKind]
	for i, p := range l.Posts {
		if !p.Existing {
			kinds.add(postKind{p.Size, p.Stock}, i, 1)
		}
	}
	return kinds
}

// postSizes are the sizes of all posts, kept ones too.
func postSizes(l *layout.Layout) tally[timber.Size] {
	var sizes tally[timber.Size]
	for i, p := range l.Posts {
		sizes.add(p.Size, i, 1)
	}
	return sizes
}

// keptPosts are how many old posts of a size are kept.
func keptPosts(l *layout.Layout) map[timber.Size]int {
	kept := make(map[timber.Size]int)
	for _, p := range l.Posts {
		if p.Existing {
			kept[p.Size]++
		}
	}
	return kept
}

func capped(s spec.Spec) bool { return value(s.Posts.Caps) }

// posts are the sticks that stand in the ground: per size and stock, how long
// they must be, and how many do what.
func posts(l *layout.Layout) []need {
	type duty struct {
		postKind
		layout.Role
	}
	var duties tally[duty]
	kinds, kept := postKinds(l), keptPosts(l)
	for i, p := range l.Posts {
		if !p.Existing {
			duties.add(duty{postKind{p.Size, p.Stock}, p.Role}, i, 1)
		}
	}
	lengths := settings(l)
	var needs []need
	for i, k := range kinds.kinds {
		n := need{item: postItem(k.size, k.stock), net: whole(kinds.times[i]), steps: lengths.steps(k)}
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
		needs = append(needs, n)
	}
	return needs
}

// caps are one on every post, by size: on a kept one too, whose top is as open
// to the rain and is to match the others.
func caps(l *layout.Layout, s spec.Spec) []need {
	if !capped(s) {
		return nil
	}
	sizes, kept := postSizes(l), keptPosts(l)
	var needs []need
	for i, size := range sizes.kinds {
		n := sizes.times[i]
		inputs := []Input{count("posts", n, "post")}
		if old := kept[size]; old > 0 {
			inputs = append(inputs, count("kept", old, ""))
		}
		needs = append(needs, need{item: capItem(size), net: whole(n), steps: []Step{
			step("cap.count", "", inputs...).exactly(amountOf(n, "cap"))}})
	}
	return needs
}
