package layout

import (
	"cmp"
	"slices"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// through finds, of three or more ends that share a post, the two that go on as
// one fence, as if a run had a vertex there: the straightest pair that turns by
// less than a corner, ties by run order. Only the others end at the post. An
// end at a gate or a wall ends there whatever it meets.
func (p *planner) through(n *node, members []int32) {
	spokes := make([]spoke, 0, len(members))
	at := p.marks[members[0]].at
	first, _ := p.arm(&p.marks[members[0]])
	back := at.Sub(first)
	for _, i := range members {
		m := &p.marks[i]
		if m.wall || m.gate() {
			continue
		}
		step, _ := p.arm(m)
		spokes = append(spokes, spoke{i, measure.Turn(back, at, at.Add(step)), step})
	}
	slices.SortFunc(spokes, func(a, b spoke) int {
		return cmp.Or(cmp.Compare(a.bearing, b.bearing), cmp.Compare(a.mark, b.mark))
	})

	// What is most nearly opposite a spoke is next to its opposite bearing.
	best := pair{turn: 181 * measure.Degree}
	for _, s := range spokes {
		opposite := s.bearing + 180*measure.Degree
		if opposite > 180*measure.Degree {
			opposite -= 360 * measure.Degree
		}
		after := firstFrom(spokes, opposite) % len(spokes)
		before := (after + len(spokes) - 1) % len(spokes)
		for _, o := range [...]spoke{spokes[after], spokes[firstFrom(spokes, spokes[before].bearing)]} {
			turn := measure.Turn(at.Add(s.step), at, at.Add(o.step)).Abs()
			if next := (pair{turn, min(s.mark, o.mark), max(s.mark, o.mark)}); s.mark != o.mark && p.spec.Classify(turn) != spec.Turns && next.before(best) {
				best = next
			}
		}
	}
	if best.turn > 180*measure.Degree {
		return
	}
	switch p.spec.Classify(best.turn) {
	case spec.Anchors: // both end at it
		n.because = ByAnchor
		return
	case spec.SetConcrete:
		n.because = ByConcrete
	case spec.Bends, spec.Turns:
	}
	p.marks[best.a].terminal, p.marks[best.b].terminal = false, false
	p.cautionGoesOn(&p.marks[best.a], &p.marks[best.b])
}

// spoke is an end seen from the post that it shares.
type spoke struct {
	mark    int32
	bearing measure.Angle // from the first member's
	step    measure.Point // to the far vertex of its leg
}

// firstFrom is the first spoke of a bearing or more.
func firstFrom(spokes []spoke, bearing measure.Angle) int {
	i, _ := slices.BinarySearchFunc(spokes, bearing, func(s spoke, b measure.Angle) int { return cmp.Compare(s.bearing, b) })
	return i
}

// pair is two ends, a before b, and how far the way from one to the other turns.
type pair struct {
	turn measure.Angle
	a, b int32
}

func (x pair) before(y pair) bool {
	return cmp.Or(cmp.Compare(x.turn, y.turn), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b)) < 0
}
