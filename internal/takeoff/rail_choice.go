package takeoff

import (
	"slices"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// cheapest is the way to make the pieces that costs least, of equal ones that
// with the fewest joints, and its plan; first is the plan of f's own way.
func (f sticks) cheapest(first CutPlan, s spec.Spec, offers map[string]Offer) (way, CutPlan, error) {
	var longest measure.Length
	for _, stock := range first.Stocks {
		longest = max(longest, stock.Length)
	}
	best, plan := f.way, first
	ways, plans := []way{f.way}, []CutPlan{first}
	for _, w := range f.others(longest) {
		other := f
		other.way = w
		p, err := other.solve(s, offers)
		if err != nil {
			return way{}, first, err
		}
		ways, plans = append(ways, w), append(plans, p)
		if c := p.Plan.Cost.Cmp(plan.Plan.Cost); c < 0 || c == 0 && w.joined < best.joined {
			best, plan = w, p
		}
	}
	if len(ways) == 1 {
		best.steps = append(slices.Clip(best.steps), step("rail.one-bay", "", length("longest", longest)).exactly("1 bay"))
		return best, plan, nil
	}
	var others []string
	for i, w := range ways {
		if w.name != best.name {
			others = append(others, w.name+" "+plans[i].figure(plans[i].Plan.Cost)+" with "+amountOf(w.joined, "joint"))
		}
	}
	best.steps = append(slices.Clip(best.steps), step("rail.choice", "", Input{Name: "choice", Value: best.name},
		Input{Name: "cost", Value: plan.figure(plan.Plan.Cost)}, Input{Name: "others", Value: strings.Join(others, ", ")}).
		exactly(amountOf(best.joined, "joint")))
	return best, plan, nil
}
