package takeoff

import (
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// A seventh kind of fence is one file, like this one: woven hurdles that stand
// between the posts. No other file knows it.
var _ = define(family{
	Definition: spec.Definition{
		Family: "hurdles", Title: "Woven hurdles", Source: practice, Heights: []string{"4 ft"},
		Details: []spec.Detail{{Name: "hurdle_width", Kind: spec.LengthDetail, Default: "6 ft", Least: "2 ft", Most: "10 ft",
			Doc: "How wide a hurdle is.", Source: practice}},
		Fill: func(s *spec.Spec) {
			if s.Layout.Hang == "" {
				s.Layout.Hang, s.Layout.MaxBay = spec.Free, s.Details.Length("hurdle_width")
			}
		},
	},
	rules: []rule{{"hurdles.bays", practice, "{bays}, one in each"}},
	count: func(g *gathered) {
		n := len(g.l.Bays)
		wide := g.s.Details.Length("hurdle_width")
		g.need(need{item: item{"hurdle-" + lengthName(wide), "Hurdle " + wide.String(), Panels, Each, "hurdle"}, net: whole(n),
			steps: []Step{step("hurdles.bays", "", count("bays", n, "bay")).exactly(amountOf(n, "hurdle"))}})
	},
})

func TestASeventhFamilyIsOneFile(t *testing.T) {
	s := spec.Spec{Family: "hurdles", Height: 4 * ft}.WithDefaults()
	l, err := layout.Plan(site.Site{Runs: []site.Run{{ID: "garden", Vertices: []measure.Point{{}, {East: 20 * ft}}}}}, s)
	if err != nil {
		t.Fatal(err)
	}
	k, err := Count(l, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := lineOf(t, k, "hurdle-6ft"); got.Order.String() != "4" || got.Derivation.Sentences()[0] != "4 bays, one in each = 4 hurdles." {
		t.Errorf("%s of %s: %q", got.Order, got.Item, got.Derivation.Sentences())
	}
	s.Details["hurdle_width"] = "11 ft"
	s.Boards.Size = "1x6"
	if _, err := layout.Plan(site.Site{Runs: []site.Run{{ID: "garden", Vertices: []measure.Point{{}, {East: 20 * ft}}}}}, s); err == nil {
		t.Error("a hurdle of 11 ft, and with boards, is taken")
	}
}
