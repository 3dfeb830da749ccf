package takeoff

import (
	"slices"
	"strings"

	"wattle/internal/measure"
)

// cheapest is the way to make the pieces that costs least, of equal ones that
// with the fewest joints, and its plan; first is the plan of f's own way.
func (f sticks) cheapest(first choice, j *Job, offers map[string]Offer) (way, choice, error) {
	var longest measure.Length
	for _, stock := range first.stocks() {
		longest = max(longest, stock.Length)
	}
	best, plan := f.way, first
	ways, plans := []way{f.way}, []choice{first}
	for _, w := range f.others(longest) {
		other := f
		other.way = w
		p, err := other.choose(j, offers)
		if err != nil {
			return way{}, first, err
		}
		ways, plans = append(ways, w), append(plans, p)
		if c := p.cost().Cmp(plan.cost()); c < 0 || c == 0 && w.joined < best.joined {
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
			others = append(others, w.name+" "+plans[i].costs()+" with "+amountOf(w.joined, "joint"))
		}
	}
	inputs := []Input{{Name: "what", Value: f.longer + "s"}, {Name: "choice", Value: best.name}, {Name: "cost", Value: plan.costs()}, {Name: "others", Value: strings.Join(others, ", ")}}
	if plan.ordered {
		inputs = append(inputs, Input{Name: "ordered", Value: "with waste and packs"})
	}
	best.steps = append(slices.Clip(best.steps), step("rail.choice", "", inputs...).exactly(amountOf(best.joined, "joint")))
	return best, plan, nil
}
