package estimating

import (
	"slices"

	"wattle/internal/check"
	"wattle/internal/fault"
	"wattle/internal/quote"
)

// broken are the cautions that say a rule is broken which another bay width,
// method or stock may keep. A cut plan that is not proven breaks none: the
// order is right, if perhaps not the cheapest.
var broken = []string{"bay-below-minimum", "holes-overlap", "ground-touches-boards"}

// passes reports whether a quote keeps every rule that advice looks at: no check
// fails, and no caution says that a rule is broken. Otherwise it says which, and
// what of the request it is about. This is the one place that decides it.
func passes(q *quote.Quote) *fault.Error {
	for _, c := range q.Checks {
		if c.Outcome == check.Fail {
			return quote.Broken(c.Code, c.Field, c.Text)
		}
	}
	for _, c := range q.Cautions {
		if slices.Contains(broken, c.Code) {
			return quote.Broken(c.Code, "spec.layout", c.Text)
		}
	}
	return nil
}
