package takeoff

import (
	"slices"

	"wattle/internal/layout"
	"wattle/internal/rational"
	"wattle/internal/spec"
)

// boards are the boards of all stretches and gate leaves, by stock: the spec's
// first, then the longer ones.
func boards(l *layout.Layout, s *spec.Spec, faces []Face, alike tally[faceKind], leaves []Leaf) []need {
	n := need{item: boardItem(s.Boards.Size, s.Boards.Stock), waste: s.Waste.Boards}
	n.steps = make([]Step, 0, 2+3*min(len(alike.kinds)+len(leaves), maxKinds)) // about three to a kind
	n.steps = append(n.steps, step("boards.length", "", optional([]Input{length("height", s.Height), length("ground clearance", value(s.GroundClearance))}, "lattice", s.Extras.Lattice)...).
		rounded(lengthText(s.BoardLength()), "cut from the stock length", lengthText(s.Boards.Stock)))
	if s.Boards.Pattern == spec.ShadowBox {
		n.steps = append(n.steps, step("boards.overlap", "", length("board", s.Boards.Width), length("gap", s.Boards.Gap)).
			exactly(lengthText(overlapTwice(s.Boards)/2)))
	}
	all := newSum("board")
	for i, k := range alike.kinds {
		face, times := faces[alike.first[i]], alike.times[i]
		short := ""
		if all.open() {
			var name string
			name, short = face.name(l, times)
			n.steps = append(n.steps, k.step(name))
			n.steps = face.appendSteps(n.steps, name, k.end(), s.Boards)
		}
		all.add(short, whole(face.Boards*times), times)
	}
	kinds := leafKinds(leaves)
	for i, times := range kinds.times {
		leaf := leaves[kinds.first[i]]
		name := leaf.name(l, times)
		if all.open() {
			n.steps = leaf.appendSteps(n.steps, name, "hinges", s.Boards)
		}
		all.add("on "+name, whole(leaf.Boards*times), times)
	}
	n.net = all.total
	n.steps = append(n.steps, all.step("boards.sum"))

	needs := longerBoards(l, s, faces)
	if len(needs) == 0 {
		return []need{n}
	}
	var longer rational.Number
	for _, more := range needs {
		longer = longer.Add(more.net)
	}
	n.net = all.total.Sub(longer)
	if n.net.Sign() == 0 { // there will be no such line, so another tells of the faces
		needs[0].steps = slices.Concat(n.steps[1:], needs[0].steps)
		return needs
	}
	n.steps = append(n.steps, step("boards.rest", "", Input{"all", number(all.total), "board"}, Input{"longer", number(longer), "longer board"}).
		exactly(amount(n.net, "board")))
	return slices.Concat([]need{n}, needs)
}
