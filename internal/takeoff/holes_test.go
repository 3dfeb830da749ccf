package takeoff

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/rational"
	"wattle/internal/section"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// pit is a hole by its diameter, depth and gravel in inches; the post
// stands on the gravel.
func pit(size section.Section, diameter, depth, gravel measure.Length) hole {
	return hole{size: size, diameter: diameter * measure.Inch, depth: depth * measure.Inch, gravel: gravel * measure.Inch,
		embedment: (depth - gravel) * measure.Inch}
}

// near reports whether got is within tolerance of want.
func near(got rational.Number, want, tolerance string) bool {
	off, _ := new(big.Rat).SetString(want)
	most, _ := new(big.Rat).SetString(tolerance)
	off.Sub(got.Big(), off)
	return off.Abs(off).Cmp(most) <= 0
}

func TestConcreteInAHole(t *testing.T) {
	for _, c := range []struct {
		name, source    string
		hole            hole
		concrete        spec.Concrete
		want, tolerance string
	}{
		{"12 in x 2 ft 9 in, no post", "CON-2, constructionwork.com", pit("", 12, 33, 0), spec.Concrete{}, "2.16", "0.005"},
		{"6 in x 36 in, no post", "CON-3, gardenguides.com how_5597665", pit("", 6, 36, 0), spec.Concrete{}, "0.59", "0.005"},
		{"15-1/2 holes to a cubic yard", "AS-11a, motherearthnews.com ZE0Z1401ZCOV, 1 %", pit("4x4", 12, 36, 6), spec.Concrete{}, "1.7419", "0.0174"},
		{"stopped 6 in below grade", "AS-3, WK78431 on F567 5.3, stopped 6 in below: pi/4 x 12^2 x 18 - 3.5^2 x 18 = 1815.252 in3", pit("4x4", 12, 30, 6),
			spec.Concrete{StopBelowGrade: 6 * measure.Inch}, "1.05049", "0.00001"},
		{"a crown of 2 in", "AS-3, the same, crowned 2 in: pi/12 x 12^2 x 2 - 3.5^2 x 2 = 50.898 in3 more", pit("4x4", 12, 30, 6),
			spec.Concrete{Crown: 2 * measure.Inch}, "1.43011", "0.00001"},
	} {
		if got := c.hole.concrete(c.concrete).Ft3(); !near(got, c.want, c.tolerance) {
			t.Errorf("%s: %s ft3, want %s within %s [%s]", c.name, got.Fixed(6), c.want, c.tolerance, c.source)
		}
	}
	// CON-2 goes on: 3.6 bags of 80 lb (tolerance 0.05).
	bags := pit("", 12, 33, 0).concrete(spec.Concrete{}).Ft3().Quo(rational.Of(6, 10))
	if !near(bags, "3.6", "0.05") {
		t.Errorf("%s bags, want 3.6 [CON-2]", bags.Fixed(3))
	}
}

// set is a layout of n equal posts in the given hole.
func set(n int, h hole) *layout.Layout {
	l := &layout.Layout{}
	for range n {
		l.Posts = append(l.Posts, layout.Post{Size: h.size, Hole: layout.Hole{
			Diameter: h.diameter, Depth: h.depth, Gravel: h.gravel, Embedment: h.embedment}})
	}
	return l
}

// bags are the bags that a layout's concrete takes: net, and as ordered.
func bags(t *testing.T, l *layout.Layout, s spec.Spec) (net, order string) {
	t.Helper()
	needs, err := concrete(l, &s)
	if err != nil {
		t.Fatal(err)
	}
	line, err := needs[0].line(&s, nil)
	if err != nil {
		t.Fatal(err)
	}
	return line.Net.String(), line.Order.String()
}

// CON-5, computed: concrete net of a 3.5 in post, and its 80 lb bags, dry set.
func TestDrySetTable(t *testing.T) {
	for _, c := range []struct {
		diameter, depth measure.Length
		volume, bags    string
	}{
		{10, 24, "0.9207 ft3", "2"}, {10, 30, "1.1509 ft3", "2"}, {10, 36, "1.3810 ft3", "3"},
		{12, 30, "1.7508 ft3", "3"}, {12, 36, "2.1010 ft3", "4"}, {12, 48, "2.8013 ft3", "5"},
	} {
		h := pit("4x4", c.diameter, c.depth, 0)
		if got := h.concrete(spec.Concrete{}).Volume().String(); got != c.volume {
			t.Errorf("%d x %d in: %s, want %s", c.diameter, c.depth, got, c.volume)
		}
		s := sixFoot(func(s *spec.Spec) { s.Concrete.Set = spec.DrySet })
		if net, order := bags(t, set(1, h), s); net != c.bags || order != c.bags {
			t.Errorf("%d x %d in: %s bags, ordered %s, want %s", c.diameter, c.depth, net, order, c.bags)
		}
	}
}

// A result that is exactly a whole number of bags needs that number, not one
// more: 500 holes of 1.7508 ft3 are 875.4 ft3, 1,459 bags of 0.6 ft3 exactly.
func TestExactWholeBags(t *testing.T) {
	h := pit("4x4", 12, 30, 0)
	if net, order := bags(t, set(500, h), sixFoot()); net != "1459" || order != "1459" {
		t.Errorf("wet set: net %s, order %s, want 1459", net, order)
	}
	if net, order := bags(t, set(501, h), sixFoot()); net != "1461.918" || order != "1462" {
		t.Errorf("wet set, one more hole: net %s, order %s, want 1461.918 and 1462", net, order)
	}
	// A bag that yields 0.5836 ft3 fills a third of a hole of 1.7508.
	third := func(s *spec.Spec) {
		s.Concrete.Set, s.Concrete.YieldPerPound = spec.DrySet, decimal.MustParse("0.007295")
	}
	if net, order := bags(t, set(7, h), sixFoot(third)); net != "21" || order != "21" {
		t.Errorf("dry set: net %s, order %s, want 21", net, order)
	}
	// Waste too: 1459 bags and 100 % are 2918.
	double := func(s *spec.Spec) { p := decimal.MustNew(100, 0); s.Waste.Concrete = &p }
	if _, order := bags(t, set(500, h), sixFoot(double)); order != "2918" {
		t.Errorf("with 100 %% of waste: %s, want 2918", order)
	}
	// And where the net does not end: 60 lb bags of 0.45 ft3, 19.45333... each.
	sixty := func(s *spec.Spec) { s.Concrete.BagPounds = 60 }
	if net, order := bags(t, set(5, h), sixFoot(sixty)); net != "19.4533" || order != "20" {
		t.Errorf("60 lb: net %s, order %s, want 19.4533 and 20", net, order)
	}
}

// Wet set shares a mix between holes, dry set rounds every hole up: 4 holes of
// 1.7508 ft3 are 11.672 bags, or 4 x 3.
func TestWetAndDrySet(t *testing.T) {
	l := set(4, pit("4x4", 12, 30, 0))
	for _, c := range []struct {
		set        spec.Setting
		net, order string
	}{{spec.WetSet, "11.672", "12"}, {spec.DrySet, "12", "12"}} {
		waste := decimal.MustNew(10, 0)
		s := sixFoot(func(s *spec.Spec) { s.Concrete.Set = c.set })
		if net, order := bags(t, l, s); net != c.net || order != c.order {
			t.Errorf("%s: net %s, order %s, want %s and %s", c.set, net, order, c.net, c.order)
		}
		if s.Waste.Concrete = &waste; c.set == spec.DrySet { // takes no percentage
			if _, order := bags(t, l, s); order != "12" {
				t.Errorf("dry set with waste: %s, want 12", order)
			}
		}
	}
	if needs, err := concrete(l, new(sixFoot(func(s *spec.Spec) { s.Concrete.Set = spec.NoSet }))); needs != nil || err != nil {
		t.Errorf("tamped holes take concrete: %v, %v", needs, err)
	}
}

func TestHoleTooNarrow(t *testing.T) {
	_, err := concrete(set(1, pit("6x6", 6, 30, 0)), new(sixFoot()))
	if err == nil || !strings.Contains(fmt.Sprint(err), "spec.holes.diameter: expected holes that hold their posts, found 6 in for a 6x6 post") {
		t.Errorf("a 6x6 in a hole of 6 in: %v", err)
	}
}

// The gravel of 4 holes of 12 in, 6 in deep: 4 x 0.3927 ft3, 10 % of waste, in
// bags of 0.5 ft3.
func TestGravel(t *testing.T) {
	s := sixFoot()
	needs := gravel(set(4, pit("4x4", 12, 30, 6)), &s)
	line, err := needs[0].line(&s, map[string]Offer{"gravel": {Unit: CubicFoot, Pack: decimal.MustParse("0.5")}})
	if err != nil {
		t.Fatal(err)
	}
	if line.Net.String() != "1.5708" || line.Order.String() != "2" {
		t.Errorf("net %s, order %s, want 1.5708 and 2", line.Net, line.Order)
	}
}

// A post that a slight turn sets in concrete takes it though the others stand in
// tamped soil [DT-7].
func TestConcreteOfOnePost(t *testing.T) {
	s := spec.Spec{Height: 6 * measure.Foot, Concrete: spec.Concrete{Set: spec.NoSet}, Alignment: spec.Alignment{Rules: "woven-wire"}}.WithDefaults()
	at := func(e, n measure.Length) measure.Point {
		return measure.Point{East: e * measure.Foot, North: n * measure.Foot}
	}
	l, err := layout.Plan(site.Site{Runs: []site.Run{{ID: "a", Vertices: []measure.Point{at(0, 0), at(24, 0), at(48, 1)}}}}, s)
	if err != nil {
		t.Fatal(err)
	}
	count, err := Count(l, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	// A hole of 12 in, 24 in of it filled around a 4x4: 1.4006 ft3, 2.334 bags.
	for _, line := range count.Lines {
		if strings.HasPrefix(line.Item, "concrete-") && line.Order.String() == "3" {
			return
		}
	}
	t.Errorf("no three bags among %+v", count.Lines)
}
