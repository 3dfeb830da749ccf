package estimating

import (
	"slices"

	"wattle/internal/check"
	"wattle/internal/quote"
)

// broken are the cautions that say a rule is broken which another bay width,
// method or stock may keep. A cut plan that is not proven breaks none: the
// order is right, if perhaps not the cheapest.
var broken = []string{"bay-below-minimum", "holes-overlap", "ground-touches-boards"}

// passes reports whether a quote keeps every rule that advice looks at: no check
// fails, and no caution says that a rule is broken. Otherwise it says which, as
// "code: sentence". This is the one place that decides it.
func passes(q *quote.Quote) (ok bool, why string) {
	for _, c := range q.Checks {
		if c.Outcome == check.Fail {
			return false, c.Code + ": " + c.Text
		}
	}
	for _, c := range q.Cautions {
		if slices.Contains(broken, c.Code) {
			return false, c.Code + ": " + c.Text
		}
	}
	return true, ""
}
