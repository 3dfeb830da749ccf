package cutting

import "math"

// tolWhole is how far from a whole number a value of the program still is one.
const tolWhole = 1e-6

// tree is a depth-first search that narrows the bounds of columns until the
// program's answer is whole.
//
// With all patterns at hand it is branch and bound: a subtree is left only if
// integers prove that no plan within the goal is in it, so a search that is
// not open at its end has proven that there is none. As a dive it adds
// patterns where they help, keeps the whole part of every answer, and proves
// nothing.
type tree struct {
	*master
	diving bool
	limit  int  // of solver.nodes
	open   bool // a subtree was left without proof
	trail  []change
}

// change is a column's bounds before they were narrowed.
type change struct {
	column int
	lo, up float64
}

func (t *tree) narrow(column int, lo, up float64) {
	t.trail = append(t.trail, change{column, t.lp.lo[column], t.lp.up[column]})
	t.lp.lo[column], t.lp.up[column] = lo, up
}

func (t *tree) undo(mark int) {
	for len(t.trail) > mark {
		c := t.trail[len(t.trail)-1]
		t.trail = t.trail[:len(t.trail)-1]
		t.lp.lo[c.column], t.lp.up[c.column] = c.lo, c.up
	}
}

// dive looks for a better plan along the answers of the program, backing up
// until the limit of nodes.
func (s *solver) dive(m *master, limit int) {
	t := &tree{master: m, diving: true, limit: limit}
	t.node()
	t.undo(0)
}

// node searches the subtree within the present bounds.
func (t *tree) node() {
	if t.done() {
		return
	}
	if t.nodes >= t.limit {
		t.open = true
		return
	}
	t.nodes++
	if !t.hopeful() {
		return
	}
	t.rest, t.whole = append(t.rest[:0], t.demand...), t.whole[:0]
	mark := len(t.trail)
	defer t.undo(mark)
	pick, fraction := -1, tolWhole
	for i, p := range t.patterns {
		j := t.lp.m + i
		v := t.lp.value(j)
		whole := math.Floor(v + tolWhole)
		if v-whole > fraction+1e-9 {
			pick, fraction = j, v-whole
		}
		if whole > 0 {
			l := line{p, int(whole)}
			l.takeFrom(t.rest)
			t.whole = append(t.whole, l)
			if t.diving && whole > t.lp.lo[j] {
				t.narrow(j, whole, t.lp.up[j])
			}
		}
	}
	t.complete(atLeastZero(t.rest), t.whole)
	if t.done() || !t.diving && t.refuted() {
		return
	}
	if pick < 0 {
		// Whole, offered, and still not refuted: rounding noise.
		t.open = true
		return
	}
	if !t.diving {
		// How many sticks of a kind are bought says more than one pattern.
		split := 0.01
		for s := range t.sticks {
			v := t.lp.value(len(t.sizes) + s)
			if f := v - math.Floor(v); min(f, 1-f) > split {
				pick, split = len(t.sizes)+s, min(f, 1-f)
			}
		}
	}
	whole := math.Floor(t.lp.value(pick))
	lo, up := t.lp.lo[pick], t.lp.up[pick]
	inner := len(t.trail)
	t.narrow(pick, whole+1, up)
	t.node()
	t.undo(inner)
	t.narrow(pick, lo, whole)
	t.node()
}

// hopeful solves the program within the present bounds and reports whether
// there may be a plan within the goal. It notes if a no is not proven.
func (t *tree) hopeful() bool {
	t.lp.settle()
	t.lp.revalue()
	switch t.lp.dualSimplex() {
	case lpOptimal:
	case lpStuck:
		t.open = true
		return false
	case lpInfeasible:
		if !t.diving && !t.refutedByRay() {
			t.open = true
		}
		return false
	}
	if t.diving {
		return t.generateBelow()
	}
	return !t.refuted()
}

// generateBelow adds patterns until the program's value is within the goal; it
// reports false when that cannot be.
func (t *tree) generateBelow() bool {
	limit := float64(t.goal) / t.scale * (1 + 1e-10)
	if t.lp.objective() <= limit {
		return true
	}
	t.rest = append(t.rest[:0], t.demand...)
	var fixed int64
	for i, p := range t.patterns {
		if n := int(t.lp.lo[t.lp.m+i]); n > 0 {
			line{p, n}.takeFrom(t.rest)
			fixed += int64(n) * t.sticks[p.stick].weight
		}
	}
	atLeastZero(t.rest)
	for t.lp.objective() > limit {
		if !t.integers() || t.price(t.rest, t.priceTolerance(), pricedPatterns) == 0 ||
			fixed+t.linearBound(t.rest) > t.goal || t.lp.primal() != lpOptimal {
			return false
		}
	}
	return true
}

// refuted reports whether the program's duals prove that no plan within the
// present bounds is within the goal. The proof is in integers, for any duals:
// a plan weighs the worth of the demand, plus for every column its count times
// its reduced cost, which is least at one of the column's bounds; pieces cut
// beyond the demand only add to that.
func (t *tree) refuted() bool {
	if !t.integers() {
		return false
	}
	n := len(t.sizes)
	var weight sum
	for i, d := range t.demand {
		weight.add(t.worth[i], float64(d))
	}
	for s, st := range t.sticks {
		weight.addLeast(st.weight*t.quantum-t.value[s], &t.lp, n+s)
	}
	for i, p := range t.patterns {
		reduced := t.value[p.stick]
		for _, c := range p.cuts {
			reduced -= t.worth[c.piece] * int64(c.count)
		}
		weight.addLeast(reduced, &t.lp, t.lp.m+i)
	}
	return weight.exact() && weight.total > t.goal*t.quantum
}

// refutedByRay is refuted for a program found infeasible: its duals may then
// grow without limit along a ray, and far enough out they refute any goal.
func (t *tree) refutedByRay() bool {
	t.duals = append(t.duals[:0], t.lp.dual...)
	defer copy(t.lp.dual, t.duals)
	t.lp.alongRay(float64(t.goal)/t.scale + 1)
	return t.refuted()
}
