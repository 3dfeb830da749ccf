package cutting

import "math"

// solver looks for the plan of least weight. It works in stages, each dearer
// than the one before, and stops as soon as the best plan and the bound meet:
//
//  1. greedy plans, and the bounds from the length alone and from the number of
//     pieces alone (greedy.go, bound.go)
//  2. jobs of many lengths: most sticks cut snugly, the tail solved (tail.go)
//  3. the linear program over patterns, whose value is the bound and whose
//     answer rounds to plans (master.go)
//  4. a search over how many sticks of each kind are bought, and within it,
//     once few patterns are left, over those (counts.go, pool.go, branch.go)
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
	// prices that a plan may come to, up to that of the first
	prices prices

	nodes, maxNodes int
	work            *int64 // left to spend; about a nanosecond each
	fewPatterns     int    // smallPool, but for tests

	*scratch
}

// DefaultNodeBudget proves nearly every job of a yard; most need a handful of
// nodes.
const DefaultNodeBudget = 5000

// Limits of the search. A plan depends on them, so to change one is to change
// plans.
const (
	nodeWork  = 500_000 // work that comes with each node of the budget
	manySizes = 64      // lengths; with more, the tail is tried before the whole
	maxSizes  = 500     // lengths; with more, the linear program is not tried
	minTail   = 20      // sticks
	maxHead   = 2000    // sticks
	tailNodes = 100     // for one tail
	smallPool = 500     // patterns that are few enough to search at once
	largePool = 10_000  // patterns that are few enough where all else failed
	diveNodes = 400     // for one dive
	tieNodes  = 200     // to look for fewer sticks at the same price
)

func newSolver(j *job, enough int64) *solver {
	space, _ := scratches.Get().(*scratch) // there is nothing else in it
	return &solver{job: j, enough: enough, bestWeight: math.MaxInt64, goal: math.MaxInt64, fewPatterns: smallPool, scratch: space}
}

func (s *solver) done() bool { return s.bound > s.goal }

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
		if s.prices.bits == nil {
			s.prices = s.reachable(s.bestPrice)
		}
		p := s.bestPrice - 1
		for !s.prices.has(p) {
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
	for s.heaviest(p) < s.bound || !s.prices.has(p) {
		p++
	}
	return p
}

// prove raises the bound.
func (s *solver) prove(bound int64) { s.bound = max(s.bound, bound) }

// proveByCount raises the bound to that from the number of pieces, where it shows
// that no plan is cheaper, and none as cheap of fewer sticks. Then the linear
// program, which is the larger part of a small job's time, would only say the
// same; else it is left to itself, so that the plan is the one it leads to.
func (s *solver) proveByCount() {
	if bound := s.countBound(); bound > s.goal && s.lightest(s.bestPrice) >= s.bestWeight {
		s.prove(bound)
	}
}

// solve runs the stages.
func (s *solver) solve(nodes int) {
	s.maxNodes = nodes
	if s.work == nil {
		s.work = new(int64(nodes) * nodeWork)
	}
	s.complete(s.demand, nil)
	s.prove(s.lengthBound())
	if !s.done() && len(s.sizes) <= manySizes && s.enough == 0 {
		s.proveByCount()
	}
	if !s.done() && len(s.sizes) > manySizes && s.enough == 0 {
		s.tail()
	}
	var m *master
	if !s.done() && len(s.sizes) <= maxSizes {
		m = newMaster(s)
		m.generate()
		if !s.done() {
			m.round()
		}
		if !s.done() {
			s.exact(m)
		}
	}
	if s.done() && s.enough == 0 {
		s.breakTie(m)
	}
	m.release()
}

// breakTie looks, once the price is proven, for fewer sticks at that price.
func (s *solver) breakTie(m *master) {
	s.fewest = true
	s.prove(s.lightest(s.bestPrice))
	s.aim()
	s.maxNodes = min(s.maxNodes, s.nodes+tieNodes)
	if !s.done() && len(s.sizes) <= maxSizes {
		if m == nil {
			m = newMaster(s)
			defer m.release()
			m.generate()
		}
		s.exact(m)
	}
	s.fewest = false // whatever came of it, the price is proven
	s.aim()
}
