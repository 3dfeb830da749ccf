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

func postKinds(l *layout.Layout) tally[postKind] {
	var kinds tally[postKind]
	for i, p := range l.Posts {
		kinds.add(postKind{p.Size, p.Stock}, i, 1)
	}
	return kinds
}

// postSizes are the sizes of those posts.
func postSizes(posts tally[postKind]) tally[timber.Size] {
	var sizes tally[timber.Size]
	for i, k := range posts.kinds {
		sizes.add(k.size, i, posts.times[i])
	}
	return sizes
}

func capped(s spec.Spec) bool { return value(s.Posts.Caps) }

// posts are the sticks that stand in the ground: per size and stock, how long
// they must be, and how many do what.
func posts(l *layout.Layout) []need {
	type setting struct {
		postKind
		above, embedded measure.Length
	}
	var settings tally[setting]
	type duty struct {
		postKind
		layout.Role
	}
	var duties tally[duty]
	kinds := postKinds(l)
	for i, p := range l.Posts {
		k := postKind{p.Size, p.Stock}
		settings.add(setting{k, p.AboveGrade, p.Hole.Embedment}, i, 1)
		duties.add(duty{k, p.Role}, i, 1)
	}
	var needs []need
	for i, k := range kinds.kinds {
		n := need{item: postItem(k.size, k.stock), net: whole(kinds.times[i])}
		for j, set := range settings.kinds {
			if set.postKind != k || len(n.steps) == maxKinds {
				continue
			}
			n.steps = append(n.steps, step("post.stock", amountOf(settings.times[j], "post"),
				length("above grade", set.above), length("embedment", set.embedded)).
				rounded(lengthText(set.above+set.embedded), "the shortest stock that reaches", lengthText(k.stock)))
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

// caps are one on every post, by size.
func caps(l *layout.Layout, s spec.Spec) []need {
	if !capped(s) {
		return nil
	}
	sizes := postSizes(postKinds(l))
	var needs []need
	for i, size := range sizes.kinds {
		n := sizes.times[i]
		needs = append(needs, need{item: capItem(size), net: whole(n), steps: []Step{
			step("cap.count", "", count("posts", n, "post")).exactly(amountOf(n, "cap"))}})
	}
	return needs
}
