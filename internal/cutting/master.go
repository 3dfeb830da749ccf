package cutting

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// master is the linear program over patterns: cut each piece as often as it is
// demanded with the least weight of sticks, where a pattern may be used a
// fraction of a time. Row i is piece i; the row after the last piece, and so
// on, belong to the sticks, and the logical column of such a row is the number
// of sticks bought, with their weight as its cost.
type master struct {
	*solver
	*workspace

	// Costs in the program are weights / scale. Duals become integers, worth
	// of the pieces and value of the sticks, in units of 1/quantum weight.
	scale   float64
	quantum int64
}

// newMaster makes the program with the patterns of the best plan and, for each
// piece, the cheapest of that piece alone.
func newMaster(s *solver) *master {
	n := len(s.sizes)
	m := emptyMaster(s, s.bestWeight)
	for i := range n {
		var single pattern
		for st := range s.sticks {
			c := int(min(int64(s.demand[i]), s.sticks[st].length/s.sizes[i]))
			if c > 0 && (single.cuts == nil || lessProduct(s.sticks[st].weight, int64(single.cuts[0].count), s.sticks[single.stick].weight, int64(c))) {
				m.making = append(m.making[:0], cut{i, c})
				single = pattern{st, m.making}
			}
		}
		m.add(single)
	}
	for _, l := range s.best {
		m.add(l.pattern)
	}
	return m
}

// emptyMaster has no patterns and allows sticks up to the given weight in all.
func emptyMaster(s *solver, limit int64) *master {
	n, k := len(s.sizes), len(s.sticks)
	space, _ := workspaces.Get().(*workspace) // there is nothing else in it
	m := &master{solver: s, workspace: space}
	m.patterns, m.cuts, m.alike = m.patterns[:0], m.cuts[:0], m.alike[:0]
	m.worth, m.value = zeros(m.worth, n), zeros(m.value, k)
	m.knap.begin(s.sizes)
	heaviest := s.sticks[0].weight
	m.scale = float64(heaviest)
	m.quantum = 1 << max(0, 48-bits.Len64(uint64(max(heaviest, s.bestWeight))))
	l := newLP(n+k, s.work, &m.lp)
	for i, d := range s.demand {
		l.rhs[i] = float64(d)
		l.logical(i, 0, math.Inf(1))
	}
	for i, st := range s.sticks {
		l.logical(n+i, float64(st.weight)/m.scale, float64(limit/st.weight))
	}
	l.refresh()
	return m
}

// add makes p a column, unless it is one. It keeps cuts of its own.
func (m *master) add(p pattern) bool {
	first := &m.known[p.hash()>>(64-knownBits)]
	last := *first
	for i := last; i > 0; i = m.alike[i-1] {
		if q := m.patterns[i-1]; q.stick == p.stick && slices.Equal(q.cuts, p.cuts) {
			return false
		}
	}
	from := len(m.cuts)
	m.cuts = append(m.cuts, p.cuts...)
	p.cuts = m.cuts[from:len(m.cuts):len(m.cuts)]
	l := &m.lp
	most := 0 // times that p can be of use
	for _, c := range p.cuts {
		l.row, l.val = append(l.row, int32(c.piece)), append(l.val, float64(c.count))
		most = max(most, (m.demand[c.piece]+c.count-1)/c.count)
	}
	l.row, l.val = append(l.row, int32(len(m.sizes)+p.stick)), append(l.val, 1)
	// One more than that, so that the bound never binds by itself and its
	// dual stays zero: the knapsack knows nothing of it.
	l.add(0, float64(most+1))
	m.patterns, m.alike = append(m.patterns, p), append(m.alike, last)
	*first = int32(len(m.patterns))
	return true
}

// maxSum bounds what the worths of a whole job or of one stick may add up to.
const maxSum = 1 << 61

// integers sets worth and value from the duals; false if they are too large
// for the sums that bounds are made of.
func (m *master) integers() bool {
	n := len(m.sizes)
	f := m.scale * float64(m.quantum)
	perStick := float64(m.sticks[0].length / m.sizes[n-1])
	total := 0.0
	for i, d := range m.demand {
		w := math.Floor(max(0, m.lp.dual[i]) * f)
		total += float64(w * max(float64(d), perStick))
		if !(total < maxSum) {
			return false
		}
		m.worth[i] = int64(w)
	}
	for s := range m.sticks {
		v := math.Ceil(-m.lp.dual[n+s] * f)
		if !(math.Abs(v) < maxSum) {
			return false
		}
		m.value[s] = int64(v)
	}
	return true
}

// fillings solves the knapsack for the present worths.
func (m *master) fillings(rest []int) {
	m.knap.solve(m.worth, rest, m.sticks[0].length)
	m.pay()
}

// pay spends the work of solving the knapsack.
func (m *master) pay() { *m.work -= 10 * int64(m.knap.size) }

// pricedPatterns is how many columns one pricing adds at most.
const pricedPatterns = 20

// candidate is a pattern that may become a column: around a longest piece, with the
// best filling of others.
type candidate struct {
	gain         int64
	stick        int
	piece, count int
	others       filling
}

// price adds the patterns from rest that are worth most above the value of
// their stick, and more than tolerance, at most one for each stick and
// longest piece.
func (m *master) price(rest []int, tolerance int64, limit int) (added int) {
	m.fillings(rest)
	found := m.found[:0]
	for s, st := range m.sticks {
		for i, size := range m.sizes {
			if size > st.length || m.worth[i] == 0 {
				continue
			}
			best := candidate{gain: tolerance}
			for c := int64(1); c <= int64(rest[i]) && c*size <= st.length; c++ {
				f := m.knap.best(i+1, st.length-c*size)
				if gain := f.worth + c*m.worth[i] - m.value[s]; gain > best.gain {
					best = candidate{gain, s, i, int(c), f}
				}
			}
			if best.gain > tolerance {
				found = append(found, best)
			}
		}
	}
	m.found = found
	slices.SortStableFunc(found, func(a, b candidate) int { return cmp.Compare(b.gain, a.gain) })
	for _, c := range found {
		m.making = m.knap.unpack(append(m.making[:0], cut{c.piece, c.count}), c.piece+1, c.others)
		if m.add(m.pad(pattern{c.stick, m.making}, rest)) {
			if added++; added == limit {
				break
			}
		}
	}
	return added
}

// pad fills what is left of the stick with the longest pieces that fit.
func (m *master) pad(p pattern, rest []int) pattern {
	room := m.sticks[p.stick].length - m.length(p)
	if room < m.sizes[len(m.sizes)-1] {
		return p
	}
	padded := pattern{p.stick, m.padded[:0]}
	next := 0
	for i, size := range m.sizes {
		n := 0
		if next < len(p.cuts) && p.cuts[next].piece == i {
			n = p.cuts[next].count
			next++
		}
		if more := min(int64(rest[i]-n), room/size); more > 0 {
			n += int(more)
			room -= more * size
		}
		if n > 0 {
			padded.cuts = append(padded.cuts, cut{i, n})
		}
	}
	m.padded = padded.cuts
	return padded
}

// priceTolerance is the gain below which a pattern is not worth a column.
func (m *master) priceTolerance() int64 {
	return int64(m.scale*float64(m.quantum)*tolFeasible) + 1
}

// linearBound is a weight that no way to cut rest can be below. It needs the
// knapsack solved for the worths: they are lowered until no filling is worth
// more than the weight of its stick, and then the worth of all of rest is the
// bound [Farley 1990, "A note on bounding a class of linear programming
// problems, including cutting stock problems"]. Integers throughout.
func (m *master) linearBound(rest []int) int64 {
	if !m.knap.whole {
		return 0
	}
	var sum int64
	for i, n := range rest {
		sum += int64(n) * m.worth[i]
	}
	best := int64(math.MaxInt64)
	for _, st := range m.sticks {
		most := max(m.knap.best(0, st.length).worth, st.weight*m.quantum)
		best = min(best, mulDivUp(sum, st.weight, most))
	}
	return best
}

// generate solves the program, adding patterns until no other is of use, and
// raises the solver's bound.
func (m *master) generate() {
	// The first patterns are the fullest around each longest piece.
	copy(m.worth, m.sizes)
	clear(m.value)
	m.price(m.demand, 0, math.MaxInt)
	if m.lp.dualSimplex() != lpOptimal {
		return
	}
	for m.integers() {
		added := m.price(m.demand, m.priceTolerance(), pricedPatterns)
		m.prove(m.linearBound(m.demand))
		if m.done() || added == 0 || m.lp.primal() != lpOptimal {
			return
		}
	}
}

// round offers plans made of the whole parts of the program's answer, rounded
// up from several fractions on, and completed greedily. Where two fractions round
// alike, the plan has been offered.
func (m *master) round() {
	for turn, up := range []float64{tolWhole, 0.2, 0.4, 0.5, 0.6, 0.8} {
		m.earlier, m.whole = m.whole, m.earlier[:0]
		for i, p := range m.patterns {
			if n := int(m.lp.value(m.lp.m+i) + up); n > 0 {
				m.whole = append(m.whole, line{p, n})
			}
		}
		if turn > 0 && slices.EqualFunc(m.earlier, m.whole, func(a, b line) bool { return a.times == b.times && &a.cuts[0] == &b.cuts[0] }) {
			continue
		}
		m.rest = append(m.rest[:0], m.demand...)
		for _, l := range m.whole {
			l.takeFrom(m.rest)
		}
		m.complete(atLeastZero(m.rest), m.whole)
	}
}
