package cutting

import "math"

// shortfall is what a plan within the goal, and within the present bounds on
// the numbers of sticks, can waste in all, in units of 1/quantum weight: the
// goal less the bound that the program's duals give. It sets the value of each
// stick to the worth of its best filling; a pattern wastes the difference
// between its own worth and that. Negative: there is no such plan. It needs the
// knapsack solved for the worths, and pays for that again: plans depend on what
// work is left.
func (m *master) shortfall() (slack int64, ok bool) {
	m.pay()
	var weight sum
	for i, d := range m.demand {
		weight.add(m.worth[i], float64(d))
	}
	for s, st := range m.sticks {
		m.value[s] = m.knap.best(0, st.length).worth
		weight.addLeast(st.weight*m.quantum-m.value[s], &m.lp, len(m.sizes)+s)
	}
	return m.goal*m.quantum - weight.total, m.knap.whole && weight.exact()
}

// pool lists the patterns that the best plan within the goal can be made of:
// those that waste at most slack, leave no room for another piece in demand,
// and do not fit a lighter stick. For in the best plan no stick can be replaced
// by a lighter one, and what room is left can be filled with pieces beyond the
// demand. False if there are more than limit. The list holds until the next.
func (m *master) pool(slack int64, limit int) ([]pattern, bool) {
	e := enumeration{master: m, limit: limit, steps: 40 * limit}
	m.taken, m.listed, m.listedCuts = zeros(m.taken, len(m.sizes)), m.listed[:0], m.listedCuts[:0]
	for s, st := range m.sticks {
		e.stick, e.need, e.lighter = s, m.value[s]-slack, 0
		if s+1 < len(m.sticks) {
			e.lighter = m.sticks[s+1].length
		}
		if !e.walk(0, st.length, 0, math.MaxInt64) {
			return nil, false
		}
	}
	return m.listed, true
}

// enumeration is the walk through all patterns of one stick.
type enumeration struct {
	*master
	limit, steps int
	stick        int
	need         int64 // worth that a pattern must reach
	lighter      int64 // length of the longest lighter stick
}

// walk decides the counts of pieces i, i+1, ... room is what is left of the
// stick, worth what the pieces so far are worth, and shortest the shortest
// piece so far that there could be more of.
func (e *enumeration) walk(i int, room, worth, shortest int64) bool {
	if e.steps--; e.steps < 0 {
		return false
	}
	if i == len(e.sizes) {
		if room >= shortest || e.sticks[e.stick].length-room <= e.lighter {
			return true
		}
		from := len(e.listedCuts)
		for i, n := range e.taken {
			if n > 0 {
				e.listedCuts = append(e.listedCuts, cut{i, n})
			}
		}
		e.listed = append(e.listed, pattern{e.stick, e.listedCuts[from:len(e.listedCuts):len(e.listedCuts)]})
		return len(e.listed) <= e.limit
	}
	size, most := e.sizes[i], int64(e.demand[i])
	for n := min(most, room/size); n >= 0; n-- {
		r, w := room-n*size, worth+n*e.worth[i]
		if w+e.knap.best(i+1, r).worth < e.need {
			continue
		}
		s := shortest
		if n < most {
			s = size
		}
		e.taken[i] = int(n)
		if !e.walk(i+1, r, w, s) {
			return false
		}
	}
	e.taken[i] = 0
	return true
}

// list searches among the patterns that a plan within the goal and the present
// bounds can be made of, if they are at most limit. It reports whether it did
// search, and whether that left a subtree open.
func (m *master) list(slack int64, limit int) (searched, open bool) {
	patterns, ok := m.pool(slack, limit)
	if !ok {
		return false, true
	}
	t := &tree{master: emptyMaster(m.solver, m.goal), limit: m.maxNodes}
	defer t.release()
	for s := range m.sticks {
		j := len(m.sizes) + s
		t.lp.lo[j], t.lp.up[j] = m.lp.lo[j], min(m.lp.up[j], t.lp.up[j])
	}
	// Solve for the patterns in use first; with the worths at hand the others
	// then change little.
	for _, j := range m.lp.basis {
		if i := int(j) - m.lp.m; i >= 0 {
			t.add(m.patterns[i])
		}
	}
	t.lp.dualSimplex()
	for _, p := range patterns {
		t.add(p)
	}
	t.node()
	return true, t.open
}
