package takeoff

import (
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/money"
	"wattle/internal/spec"
)

// Rate is a production rate that hours were worked out by.
type Rate struct {
	Item  string // of the price book
	Value decimal.Decimal
	Unit  Unit
}

// Rated is the rate of a task.
func (t Task) Rated() Rate {
	r := Rate{Item: t.Item, Value: t.Rate}
	if i := slices.IndexFunc(tasks, func(kind task) bool { return kind.name == t.Name }); i >= 0 {
		r.Unit = tasks[i].per
	}
	return r
}

// FenceRates are the rates of labour by fence, as the derivation of its hours
// has them; none of labour by tasks, and of a take-off without labour.
func (t *Takeoff) FenceRates(s spec.Spec) []Rate {
	var all []Rate
	for _, l := range t.Lines {
		for _, st := range l.Derivation.Steps {
			if l.Category != Labour || st.Rule != "labour.hours" {
				continue
			}
			for _, in := range st.Inputs {
				value, err := money.ParseDecimal(in.Value)
				switch {
				case err != nil:
				case in.Name == "fence rate":
					all = append(all, Rate{fenceRateItem().bookName(&s), value, HourPerFoot})
				case in.Name == "gate rate":
					all = append(all, Rate{gateRateItem().bookName(&s), value, HourPerLeaf})
				}
			}
		}
	}
	return all
}
