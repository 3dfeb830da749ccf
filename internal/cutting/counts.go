package cutting

import "math"

// counts is a search over how many sticks of each kind are bought. Its nodes
// solve the program over all patterns, generating them; where few patterns are
// left that a plan within the goal can be made of, those are listed and
// searched.
type counts struct {
	*master
	open bool // something was left without proof
}

// exact searches until the best plan is proven, the nodes are used up, or
// there are too many patterns.
func (s *solver) exact(m *master) {
	c := &counts{master: m}
	c.node()
	if !c.open {
		s.prove(s.goal + 1)
	}
}

// node searches within the present bounds on the numbers of sticks.
func (c *counts) node() {
	if c.done() {
		return
	}
	if c.nodes >= c.maxNodes {
		c.open = true
		return
	}
	c.nodes++
	slack, ok := c.solveNode()
	if !ok || slack < 0 {
		c.open = c.open || !ok
		return
	}
	c.round()
	if c.done() {
		return
	}
	if c.listed(slack, c.fewPatterns) {
		return
	}
	pick, split := -1, tolWhole
	for s := range c.sticks {
		j := len(c.sizes) + s
		v := c.lp.value(j)
		if f := v - math.Floor(v); min(f, 1-f) > split {
			pick, split = j, min(f, 1-f)
		}
	}
	if pick < 0 || len(c.sticks) == 1 {
		if c.fewest {
			c.open = true // not worth more
			return
		}
		c.leaf()
		return
	}
	whole := math.Floor(c.lp.value(pick))
	lo, up := c.lp.lo[pick], c.lp.up[pick]
	c.lp.lo[pick] = whole + 1
	c.node()
	c.lp.lo[pick], c.lp.up[pick] = lo, whole
	c.node()
	c.lp.up[pick] = up
}

// leaf searches where the numbers of sticks are settled and there are many
// patterns: a dive may find a plan so good that few are left.
func (c *counts) leaf() {
	c.dive(c.master, min(c.maxNodes, c.nodes+diveNodes))
	if c.done() {
		return
	}
	slack, ok := c.solveNode()
	if ok && slack < 0 {
		return
	}
	if !ok || !c.listed(slack, largePool) {
		c.open = true
	}
}

// listed searches the patterns that are left, if they are few, and reports
// whether they were.
func (c *counts) listed(slack int64, limit int) bool {
	searched, open := c.list(slack, limit)
	if searched && open {
		c.open = true
	}
	return searched
}

// solveNode solves the program within the present bounds, and returns the
// shortfall; negative if there is no plan within the goal.
func (c *counts) solveNode() (slack int64, ok bool) {
	l := &c.lp
	l.settle()
	l.revalue()
	status := l.dualSimplex()
	for status != lpStuck {
		c.duals = append(c.duals[:0], l.dual...)
		if status == lpInfeasible {
			l.alongRay(float64(c.goal)/c.scale + 1)
		}
		if !c.integers() {
			break
		}
		added := c.price(c.demand, c.priceTolerance(), pricedPatterns)
		if slack, ok = c.shortfall(); !ok || slack < 0 {
			copy(l.dual, c.duals)
			return slack, ok
		}
		copy(l.dual, c.duals)
		if added == 0 {
			return slack, status == lpOptimal
		}
		if status == lpInfeasible {
			l.settle()
			l.revalue()
			status = l.dualSimplex()
		} else {
			status = l.primal()
		}
	}
	return 0, false
}
