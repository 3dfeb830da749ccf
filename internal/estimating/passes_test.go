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
		return &quote.Quote{Checks: []check.Result{{Code: "first", Outcome: check.Pass}, {Code: "post-bending", Outcome: o, Text: "It bends: far."}}}
	}
	for _, c := range []struct {
		q    *quote.Quote
		want string // empty: it passes
	}{
		{&quote.Quote{}, ""},
		{caution("cut-plan-not-proven"), ""},
		{caution("even-fallback"), ""},
		{caution("bay-below-minimum"), "bay-below-minimum: Run a: so."},
		{caution("holes-overlap"), "holes-overlap: Run a: so."},
		{caution("ground-touches-boards"), "ground-touches-boards: Run a: so."},
		{outcome(check.Pass), ""},
		{outcome(check.Advisory), ""},
		{outcome(check.NotEnoughData), ""},
		{outcome(check.Fail), "post-bending: It bends: far."},
	} {
		if ok, why := passes(c.q); why != c.want || ok != (c.want == "") {
			t.Errorf("%v %q, want %q", ok, why, c.want)
		}
	}
}
