package takeoff

import (
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/rational"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// runOf is a straight run.
func runOf(long measure.Length) site.Site {
	return site.Site{Runs: []site.Run{{ID: "front", Vertices: []measure.Point{{}, {East: long}}}}}
}

// orderCost is what the lines of a category cost as they are ordered.
func orderCost(k *Takeoff, c Category, offers map[string]Offer) rational.Number {
	total := rational.Number{}
	for _, l := range k.Lines {
		if l.Category == c {
			total = total.Add(money.Rational(l.Order).Mul(money.Rational(offers[l.Item].Price)))
		}
	}
	return total
}

// planned counts a fence on level ground by rules of a version.
func planned(t *testing.T, st site.Site, s spec.Spec, rules int, offers map[string]Offer) *Takeoff {
	t.Helper()
	l, err := layout.Plan(st, s)
	if err != nil {
		t.Fatal(err)
	}
	k, err := Job{Layout: l, Spec: s, Rules: rules}.Count(offers)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// Two bays of 7 ft with 2 rails take 4 sticks of 8 ft at 9, or 2 of 16 ft at
// 13.40, of which 20 must be bought. Common practice.
func TestPacksDecideSticks(t *testing.T) {
	s := spec.Spec{Height: 4 * ft}.WithDefaults()
	for _, c := range []struct {
		price16 string
		rules   int
		want    string
	}{
		{"13.40", 0, "4 rail-2x4-8ft"},
		{"14.40", 0, "4 rail-2x4-8ft"},
		{"13.40", plainRules, "2 rail-2x4-16ft"}, // 20 ordered
		{"1.79", 0, "2 rail-2x4-16ft"},           // 35.80 for 20 of them, against 36
	} {
		offers := map[string]Offer{"rail-2x4-8ft": each("9"),
			"rail-2x4-16ft": {Price: decimal.MustParse(c.price16), Unit: Each, Pack: decimal.MustNew(20, 0)}}
		if got := nets(planned(t, runOf(14*ft), s, c.rules, offers), Rails); got != c.want {
			t.Errorf("16 ft at %s by rules %d: %s, want %s", c.price16, c.rules, got, c.want)
		}
	}
	offers := map[string]Offer{"rail-2x4-8ft": each("9"), "rail-2x4-16ft": {Price: decimal.MustParse("13.40"), Unit: Each, Pack: decimal.MustNew(20, 0)}}
	says(t, planned(t, runOf(14*ft), s, 0, offers), "rail-2x4-8ft",
		"4 pieces, cut with a saw kerf of 1/8 in from sticks of 8 ft, for the least that must be ordered (with waste and packs 36; the plan of least cost before them comes to 268): 4 sticks of 8 ft.")
	offers["rail-2x4-16ft"] = Offer{Price: decimal.MustParse("1.79"), Unit: Each, Pack: decimal.MustNew(20, 0)}
	says(t, planned(t, runOf(14*ft), s, 0, offers), "rail-2x4-16ft",
		"4 pieces, cut with a saw kerf of 1/8 in from sticks of 8 ft or 16 ft, for the least cost (no plan costs less before waste and packs, and no plan compared costs less to order): 2 sticks of 16 ft.")
}

// Lying boards with 5 % waste: a board that gets dearer never makes the order
// cheaper, though the plan changes.
func TestWasteDecidesSticks(t *testing.T) {
	s := spec.Spec{Family: spec.HorizontalBoards, Height: 4 * ft}.WithDefaults()
	before := rational.Number{}
	for cents := int64(700); cents <= 1100; cents += 10 {
		offers := map[string]Offer{"board-1x6-8ft": each("5.60"), "board-1x6-12ft": {Price: decimal.MustNew(cents, 2), Unit: Each}, "board-1x6-16ft": each("11.90")}
		cost := orderCost(planned(t, runOf(26*ft), s, 0, offers), Boards, offers)
		if cost.Cmp(before) < 0 {
			t.Errorf("boards of 12 ft at %d cents: %s, and %s before", cents, number(cost), number(before))
		}
		before = cost
	}
}

// By today's rules an order costs no more than by the old ones, nor more than
// that of any one stock alone.
func TestOrderCostsNoMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := spec.Spec{Height: 6 * ft}
		s.Waste.Rails = new(decimal.MustNew(rapid.Int64Range(0, 30).Draw(t, "waste"), 0))
		s = s.WithDefaults()
		l, err := layout.Plan(runOf(measure.Length(rapid.IntRange(60, 900).Draw(t, "inches"))*measure.Inch), s)
		if err != nil {
			t.Skip(err)
		}
		offers := make(map[string]Offer)
		items := []string{"rail-2x4-8ft", "rail-2x4-12ft", "rail-2x4-16ft"}
		for _, item := range items {
			offers[item] = Offer{Unit: Each, Price: decimal.MustNew(rapid.Int64Range(100, 3000).Draw(t, item), 2), Pack: decimal.MustNew(rapid.Int64Range(1, 20).Draw(t, "pack"), 0)}
		}
		cost := func(rules int, offers map[string]Offer) rational.Number {
			k, err := Job{Layout: l, Spec: s, Rules: rules}.Count(offers)
			if err != nil {
				t.Fatal(err)
			}
			return orderCost(k, Rails, offers)
		}
		now := cost(0, offers)
		if old := cost(plainRules, offers); now.Cmp(old) > 0 {
			t.Fatalf("%s to order, %s by the old rules", number(now), number(old))
		}
		for _, item := range items {
			if alone := cost(plainRules, map[string]Offer{item: offers[item]}); now.Cmp(alone) > 0 {
				t.Fatalf("%s to order, %s of %s alone", number(now), number(alone), item)
			}
		}
	})
}
