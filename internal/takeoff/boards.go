package takeoff

import (
	"wattle/internal/layout"
	"wattle/internal/spec"
)

// boards are the boards of all stretches and gate leaves.
func boards(l *layout.Layout, s spec.Spec, faces []Face, alike tally[faceKind], leaves []Leaf) need {
	n := need{item: boardItem(s.Boards), waste: s.Waste.Boards}
	n.steps = append(n.steps, step("boards.length", "", length("height", s.Height), length("ground clearance", value(s.GroundClearance))).
		rounded(lengthText(s.BoardLength()), "cut from the stock length", lengthText(s.Boards.Stock)))
	all := newSum("board")
	for i, k := range alike.kinds {
		face, times := faces[alike.first[i]], alike.times[i]
		posts, stations := stretchName(l, face.Stretch)
		name, short := posts+" "+stations, "on "+posts
		if times > 1 {
			short = "on " + amountOf(times, "equal stretch")
			name = amountOf(times, "equal stretch") + ", the first " + name
		}
		if all.open() {
			n.steps = append(n.steps, k.step(name))
			n.steps = append(n.steps, face.steps(name, k.end(), s.Boards)...)
		}
		all.add(short, whole(face.Boards*times), times)
	}
	kinds := leafKinds(leaves)
	for i, times := range kinds.times {
		leaf := leaves[kinds.first[i]]
		name := leaf.name(l, times)
		if all.open() {
			n.steps = append(n.steps, leaf.steps(name, "hinges", s.Boards)...)
		}
		all.add("on "+name, whole(leaf.Boards*times), times)
	}
	n.net = all.total
	n.steps = append(n.steps, all.step("boards.sum"))
	return n
}
