package estimating

import (
	"testing"

	"wattle/internal/check"
	"wattle/internal/layout"
	"wattle/internal/quote"
)

func TestPasses(t *testing.T) {
	caution := func(code string) *quote.Quote {
		return &quote.Quote{Cautions: []layout.Caution{{Code: "locate-utilities", Text: "Look."}, {Code: code, Text: "Run a: so."}}}
	}
	outcome := func(o check.Outcome) *quote.Quote {
		return &quote.Quote{Checks: []check.Result{{Code: "first", Outcome: check.Pass}, {Code: "post-bending", Outcome: o, Text: "It bends: far.", Field: "spec.posts.size"}}}
	}
	for _, c := range []struct {
		q    *quote.Quote
		want string // empty: it passes
	}{
		{&quote.Quote{}, ""},
		{caution("cut-plan-not-proven"), ""},
		{caution("even-fallback"), ""},
		{caution("bay-below-minimum"), "bay-below-minimum spec.layout: Run a: so."},
		{caution("holes-overlap"), "holes-overlap spec.layout: Run a: so."},
		{caution("ground-touches-boards"), "ground-touches-boards spec.layout: Run a: so."},
		{outcome(check.Pass), ""},
		{outcome(check.Advisory), ""},
		{outcome(check.NotEnoughData), ""},
		{outcome(check.Fail), "post-bending spec.posts.size: It bends: far."},
	} {
		why := ""
		if e := passes(c.q); e != nil {
			why = e.Meta["check"] + " " + e.Violations[0].Field + ": " + e.Violations[0].Description
		}
		if why != c.want {
			t.Errorf("%q, want %q", why, c.want)
		}
	}
}
