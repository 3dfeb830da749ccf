package cutting

import (
	"cmp"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Solve finds the cheapest plan that it can and proves how cheap a plan can
// be. Its error lists everything wrong with the request.
func Solve(r Request) (*Plan, error) {
	if err := r.validate(); err != nil {
		return nil, err
	}
	plan := &Plan{Sticks: make([]int, len(r.Stocks)), Proven: true}
	if len(r.Pieces) == 0 {
		return plan, nil
	}
	prices, ok := newTariff(r.Stocks)
	var j *job
	if ok {
		j, ok = newJob(&r, prices)
	}
	if !ok {
		return nil, fault.New(fault.Exhausted, "PRICES_OUT_OF_RANGE", "the prices of the stock have too many digits to be added up exactly for so many pieces")
	}
	s := newSolver(j, 0)
	defer s.release()
	s.solve(cmp.Or(r.NodeBudget, DefaultNodeBudget))
	plan.Nodes = s.nodes
	plan.Proven = s.done()
	if err := plan.write(&r, s, prices); err != nil {
		return nil, err
	}
	return plan, nil
}

// write fills the plan in from the best lines.
func (p *Plan) write(r *Request, s *solver, prices tariff) error {
	n := 0
	for _, l := range s.best {
		for _, c := range l.cuts {
			n += c.count
		}
	}
	p.Patterns = make([]Pattern, 0, len(s.best))
	all := make([]measure.Length, 0, n) // cuts of all patterns
	for _, l := range s.best {
		pattern, from := Pattern{Stock: prices.cheapest(r, s.length(l.pattern)), Times: l.times}, len(all)
		for _, c := range l.cuts {
			length := measure.Length(s.sizes[c.piece]) - r.Kerf
			for range c.count {
				all = append(all, length)
			}
			p.Used += length * measure.Length(c.count*l.times)
		}
		pattern.Cuts = all[from:len(all):len(all)]
		p.Patterns = append(p.Patterns, pattern)
		p.Sticks[pattern.Stock] += l.times
		p.Bought += r.Stocks[pattern.Stock].Length * measure.Length(l.times)
	}
	slices.SortFunc(p.Patterns, func(a, b Pattern) int {
		return cmp.Or(cmp.Compare(a.Stock, b.Stock), slices.Compare(b.Cuts, a.Cuts))
	})
	p.Waste = p.Bought - p.Used
	var err error
	if p.Cost, err = prices.amount(s.bestPrice); err != nil {
		return err
	}
	p.LowerBound, err = prices.amount(s.priceBound())
	return err
}
