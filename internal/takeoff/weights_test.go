package takeoff

import (
	"slices"
	"strings"
	"testing"

	"wattle/internal/spec"
)

// What one of an item weighs, by hand. Gauges, walls and densities are from
// memory; steel is 10.69 (D - t) t lb a foot [AS-6], square tube 490/144 x 4 (D - t) t.
func TestItemsWeigh(t *testing.T) {
	details := func(pairs ...string) spec.Details {
		d := spec.Details{}
		for _, p := range pairs {
			name, text, _ := strings.Cut(p, "=")
			d[name] = text
		}
		return d
	}
	for _, c := range []struct {
		spec spec.Spec
		item string
		want string
	}{
		{spec.Spec{Family: spec.ChainLink, Height: 6 * ft}, "fabric-6ft-2in-11ga-50ft", "138.54"}, // 10.69 x 0.06^2 x 12 x 300 ft2
		{spec.Spec{Family: spec.ChainLink, Height: 6 * ft}, "tension-wire-7ga-1000ft", "83.73"},   // 10.69 x 0.0885^2 x 1000
		{spec.Spec{Family: spec.ChainLink, Height: 6 * ft, Details: details("barb_arms=single")}, "barbed-wire-1320ft", "80.00"},
		{spec.Spec{Family: spec.Wire, Height: 4 * ft}, "post-tee-6ft", "7.98"},
		{spec.Spec{Family: spec.Wire, Height: 4 * ft}, "barbed-wire-1320ft", "80.00"},
		{spec.Spec{Family: spec.Wire, Height: 4 * ft}, "brace-wire", "0.06"}, // 10.69 x 0.074^2
		{spec.Spec{Family: spec.Wire, Height: 4 * ft, Details: details("kind=woven")}, "woven-wire-47in-330ft", "220.00"},
		{spec.Spec{Family: spec.Wire, Height: 4 * ft, Details: details("kind=woven", "woven_height=40 in")}, "woven-wire-40in-330ft", ""},
		{spec.Spec{Family: spec.Wire, Height: 4 * ft, Details: details("kind=high-tensile")}, "high-tensile-wire-4000ft", "104.77"}, // 10.69 x 0.0495^2 x 4000
		{spec.Spec{Family: spec.Panels, Height: 6 * ft}, "panel-ornamental-metal-70in-6ft", "52.50"},                                // 35 ft2
		{spec.Spec{Family: spec.Panels, Height: 6 * ft}, "post-2sq-8ft", "13.70"},                                                   // 490/144 x 4 x 1.935 x 0.065 x 8
		{spec.Spec{Family: spec.Panels, Height: 6 * ft, Details: details("material=vinyl")}, "post-5vinyl-line-8ft", "14.55"},       // (25 - 4.7^2) in2 x 8 ft at 90
		{spec.Spec{Family: spec.SplitRail, Height: 4 * ft}, "split-rail-cedar-11ft", "22.08"},                                       // pi/4 x 4^2 in2 x 11 ft at 23
	} {
		l, s := gateJob{c.item, "4 ft", 1, c.spec, ""}.layOut(t)
		k, err := Count(l, s, nil)
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if each := gather(&Job{Layout: l, Spec: s}).weights[c.item]; each.Sign() != 0 {
			got = each.Fixed(2)
		}
		if got != c.want {
			t.Errorf("%s weighs %q, want %q", c.item, got, c.want)
		}
		if slices.Contains(k.Delivery.Unweighed, c.item) != (c.want == "") {
			t.Errorf("%s: not weighed are %v", c.item, k.Delivery.Unweighed)
		}
	}
}
