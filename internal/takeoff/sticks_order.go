package takeoff

import (
	"cmp"
	"math/bits"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/cutting"
	"wattle/internal/money"
	"wattle/internal/rational"
)

// choice is the plan that sticks are bought by. Cutting knows prices, but not
// what waste and packs make of a plan afterwards: one stick less of a stock that
// comes in packs of twenty may save nothing, or twenty. So where there is either,
// the plan of least cost is compared, by what is really ordered, with those that
// are cut from fewer of the stocks (common practice).
//
// What is compared is each plan by itself: sticks that another rule of the job
// adds to the same item, and price breaks, are left out.
type choice struct {
	CutPlan
	order   rational.Number // what it costs to order
	ordered bool            // false: there is neither waste nor a pack, so that is the plan's own cost
	// before is the plan of least cost before waste and packs, and beforeOrder
	// what that would cost to order. No plan where it is the one chosen.
	before      CutPlan
	beforeOrder rational.Number
}

// cost is what ways to make the same are compared by.
func (p choice) cost() rational.Number {
	if p.ordered {
		return p.order
	}
	return money.Rational(p.Plan.Cost)
}

// costs is the cost in words.
func (p choice) costs() string {
	if p.ordered {
		return number(p.order)
	}
	return p.figure(p.Plan.Cost)
}

// stocks are all that were on offer to choose from.
func (p choice) stocks() []cutting.Stock {
	if p.before.Plan != nil {
		return p.before.Stocks
	}
	return p.Stocks
}

// candidate is a plan cut from a set of the stocks on offer, one bit for each.
type candidate struct {
	CutPlan
	set, used uint64 // may be bought, are bought
	order     rational.Number
}

// choose is the plan of those compared that costs least to order; of equal ones
// that of least cost before waste and packs, then the one of fewer stocks, then
// that of the stocks listed first.
func (f sticks) choose(j *Job, offers map[string]Offer) (choice, error) {
	solved, err := f.solve(&j.Spec, offers)
	if err != nil || j.plain() || !solved.priced() || !f.grows(solved.Stocks, offers) {
		return choice{CutPlan: solved}, err
	}
	all := uint64(1)<<len(solved.Stocks) - 1
	tried := []candidate{f.candidate(solved, all, offers)}
	for _, set := range subsets(len(solved.Stocks)) {
		// A plan of more stocks that buys none but these is theirs too.
		if slices.ContainsFunc(tried, func(c candidate) bool { return c.used&^set == 0 && set&^c.set == 0 }) {
			continue
		}
		plan := CutPlan{Use: f.use, Stocks: members(solved.Stocks, set)}
		if !slices.ContainsFunc(plan.Stocks, func(s cutting.Stock) bool { return s.Length >= f.longest() }) {
			continue
		}
		if plan.Plan, err = cutting.Solve(cutting.Request{Pieces: f.pieces, Stocks: plan.Stocks, Kerf: value(j.Spec.Kerf)}); err != nil {
			return choice{}, err
		}
		tried = append(tried, f.candidate(plan, set, offers))
	}
	best := slices.MinFunc(tried, func(a, b candidate) int { // the first of equal ones, so the solved plan before all
		if c := a.order.Cmp(b.order); c != 0 || a.set == all || b.set == all {
			return c
		}
		return cmp.Or(cmp.Compare(bits.OnesCount64(a.used), bits.OnesCount64(b.used)), cmp.Compare(a.used, b.used))
	})
	if best.set == all {
		return choice{CutPlan: solved, ordered: true, order: best.order}, nil
	}
	return choice{best.CutPlan, best.order, true, solved, tried[0].order}, nil
}

// mostTogether is up to how many stocks every set of them is tried; of more each
// is tried alone, so that many stocks do not take exponentially long.
const mostTogether = 4

// subsets are the sets of n stocks to try beside all of them, large before small.
func subsets(n int) []uint64 {
	var sets []uint64
	if n > mostTogether {
		for i := range n {
			sets = append(sets, 1<<i)
		}
		return sets
	}
	for set := uint64(1); set < 1<<n-1; set++ {
		sets = append(sets, set)
	}
	slices.SortStableFunc(sets, func(a, b uint64) int { return cmp.Compare(bits.OnesCount64(b), bits.OnesCount64(a)) })
	return sets
}

// members are the stocks of a set.
func members(stocks []cutting.Stock, set uint64) []cutting.Stock {
	var some []cutting.Stock
	for i, s := range stocks {
		if set&(1<<i) != 0 {
			some = append(some, s)
		}
	}
	return some
}

// candidate is a plan cut from a set of the stocks, with what it buys.
func (f sticks) candidate(p CutPlan, set uint64, offers map[string]Offer) candidate {
	c := candidate{CutPlan: p, set: set}
	rest := set
	for i, n := range p.Plan.Sticks {
		bit := rest & -rest
		rest &^= bit
		if n == 0 {
			continue
		}
		c.used |= bit
		offer := offers[p.Stocks[i].Item]
		c.order = c.order.Add(offer.cost(need{net: whole(n), waste: f.waste}.order(offer)))
	}
	return c
}

// grows reports whether what is ordered can be more than the sticks of a plan.
func (f sticks) grows(stocks []cutting.Stock, offers map[string]Offer) bool {
	percent := value(f.waste)
	return !percent.IsZero() || slices.ContainsFunc(stocks, func(s cutting.Stock) bool {
		offer := offers[s.Item]
		return offer.ratio.Sign() != 0 || offer.pack().Cmp(decimal.One) != 0
	})
}
