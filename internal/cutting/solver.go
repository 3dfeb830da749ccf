package cutting

import (
	"math"
	"slices"
)

// solver looks for the plan of least weight. It works in stages, each dearer
// than the one before, and stops as soon as the best plan and the bound meet:
//
//  1. greedy plans; the bound from the length alone
//  2. jobs of many lengths: cut most sticks snugly, solve the tail (tail.go)
//  3. the linear program over patterns: its value is the bound, its answer
//     rounds to plans (master.go)
//  4. where few patterns can be part of a better plan: branch and bound over
//     them, which ends with a proof (pool.go, branch.go)
//  5. else a dive for a better plan, and stage 4 again (branch.go)
type solver struct {
	*job
	best       []line
	bestWeight int64
	bestLength int64
	bestPrice  int64

	// No plan weighs less than bound. Only plans of at most goal weight are
	// worth finding. So the search is done once bound > goal.
	bound, goal int64
	// enough, unless zero: any plan of at most this weight will do, and no
	// other plan is of use.
	enough int64
	// fewest: the price is as low as it gets, now look for fewer sticks.
	fewest bool

	sum      []bool // see job.sums
	nodes    int
	maxNodes int
	work     *int64 // left for the linear programs, see lp.work
}

// Limits of the search. They are what a plan depends on besides the request,
// so changing one changes plans.
const (
	DefaultNodeBudget = 5000
	nodeWork          = 1_000_000 // see lp.work; programs get this much for each node of the budget
	manySizes         = 64        // from here on the tail is tried before the whole
	minTail           = 20        // sticks
	maxSizes          = 500       // beyond, the linear program is not tried
	smallPool         = 500       // patterns for branch and bound, before the dive
	largePool         = 10_000    // and after it
	diveNodes         = 400
	tailNodes         = 100
	tieNodes          = 200 // of the budget, to look for fewer sticks at the same price
)

func newSolver(j *job, enough int64) *solver {
	return &solver{job: j, enough: enough, bestWeight: math.MaxInt64, goal: math.MaxInt64}
}

func (s *solver) done() bool { return s.bound > s.goal }

// offer takes lines, which cut at least what is demanded, as the best plan if
// they are lighter, or as light with less length.
func (s *solver) offer(lines []line) {
	lines = s.tidy(lines)
	var weight, length, price int64
	for _, l := range lines {
		st := s.sticks[l.stick]
		weight += int64(l.times) * st.weight
		length += int64(l.times) * st.length
		price += int64(l.times) * st.price
	}
	if weight > s.bestWeight || weight == s.bestWeight && length >= s.bestLength {
		return
	}
	s.best, s.bestWeight, s.bestLength, s.bestPrice = lines, weight, length, price
	s.aim()
}

// aim sets the goal by the best plan.
func (s *solver) aim() {
	switch {
	case s.enough > 0 && s.bestWeight <= s.enough:
		s.goal = -1
	case s.enough > 0:
		s.goal = s.enough
	case s.fewest:
		s.goal = s.bestWeight - 1
	default:
		if s.sum == nil {
			s.sum = s.sums(s.bestPrice)
		}
		p := s.bestPrice - 1
		for s.sum != nil && p > 0 && !s.sum[p] {
			p--
		}
		s.goal = -1
		if p >= 0 {
			s.goal = s.heaviest(p)
		}
	}
}

// priceBound is a price that no plan can be below.
func (s *solver) priceBound() int64 {
	if s.done() {
		return s.bestPrice
	}
	p := max(0, (s.bound-int64(s.pieces))/s.tie)
	for s.heaviest(p) < s.bound || s.sum != nil && p < int64(len(s.sum)) && !s.sum[p] {
		p++
	}
	return p
}

// prove raises the bound.
func (s *solver) prove(bound int64) { s.bound = max(s.bound, bound) }

// solve runs the stages.
func (s *solver) solve(nodes int) {
	s.maxNodes = nodes
	if s.work == nil {
		s.work = new(int64(nodes) * nodeWork)
	}
	for only := -1; only < len(s.sticks); only++ {
		s.offer(s.greedy(slices.Clone(s.demand), only, nil))
	}
	s.prove(s.lengthBound())
	if s.done() {
		return
	}
	if len(s.sizes) > manySizes && s.enough == 0 {
		s.tail()
	}
	if s.done() || len(s.sizes) > maxSizes {
		return
	}
	m := newMaster(s)
	m.generate()
	if !s.done() {
		m.round()
	}
	if !s.done() {
		s.exact(m)
	}
	if s.done() && s.enough == 0 && !s.fewest {
		s.fewest = true
		s.prove(s.lightest(s.bestPrice))
		s.aim()
		s.maxNodes = min(s.maxNodes, s.nodes+tieNodes)
		if !s.done() {
			s.exact(m)
		}
		// Whatever came of it, the price is proven.
		s.fewest = false
		s.aim()
	}
}
