package takeoff_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// drawYard is a run of a few legs in whole inches, sometimes with a gate in
// its first leg, and the spec of its fence.
func drawYard(t *rapid.T) (site.Site, spec.Spec) {
	inches := func(low, high int, name string) measure.Length {
		return measure.Length(rapid.IntRange(low, high).Draw(t, name)) * measure.Inch
	}
	r := site.Run{ID: "yard", Vertices: []measure.Point{{}}, Face: site.Side(rapid.IntRange(0, 1).Draw(t, "face"))}
	at := measure.Point{}
	for i := range rapid.IntRange(1, 4).Draw(t, "legs") {
		// Legs go on to the east, so that they never meet again.
		at = at.Add(measure.Point{East: inches(120, 600, "east"), North: inches(-400, 400, "north")})
		r.Vertices = append(r.Vertices, at)
		if i == 0 && rapid.Bool().Draw(t, "gate") {
			r.Gates = []site.Gate{{ID: "walk", Station: 2 * ft, Width: inches(30, 60, "opening"), Leaves: rapid.IntRange(1, 2).Draw(t, "leaves")}}
		}
	}
	r.Start.TieIn = rapid.Bool().Draw(t, "wall")
	s := spec.Spec{Height: inches(36, 96, "height")}
	s.Boards.Gap = inches(0, 3, "gap")
	s.Boards.MaxGap = s.Boards.Gap + inches(0, 1, "more gap")
	s.Concrete.Set = rapid.SampledFrom([]spec.Setting{spec.WetSet, spec.DrySet}).Draw(t, "set")
	return site.Site{Runs: []site.Run{r}}, s.WithDefaults()
}

// counted lays out and counts, or skips what cannot be built.
func counted(t *rapid.T, st site.Site, s spec.Spec, offers map[string]takeoff.Offer) (*layout.Layout, *takeoff.Takeoff) {
	l, err := layout.Plan(st, s)
	if err != nil {
		t.Skip(err)
	}
	k, err := takeoff.Count(l, s, offers)
	if err != nil {
		t.Fatal(err)
	}
	return l, k
}

// Moving the yard and turning it by quarters leaves the whole take-off alone,
// every sentence of it.
func TestMovesAndQuarterTurns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, s := drawYard(t)
		_, before := counted(t, st, s, nil)
		step := measure.Point{
			East:  measure.Length(rapid.Int64Range(-1e12, 1e12).Draw(t, "move east")),
			North: measure.Length(rapid.Int64Range(-1e12, 1e12).Draw(t, "move north"))}
		turns := rapid.IntRange(0, 3).Draw(t, "turns")
		moved := slices.Clone(st.Runs[0].Vertices)
		for i, p := range moved {
			for range turns {
				p = measure.Point{East: -p.North, North: p.East}
			}
			moved[i] = p.Add(step)
		}
		st.Runs[0].Vertices = moved
		_, after := counted(t, st, s, nil)
		if told(before) != told(after) {
			t.Fatalf("before:\n%s\nafter:\n%s", told(before), told(after))
		}
	})
}

// told is everything a take-off says.
func told(k *takeoff.Takeoff) string {
	var b strings.Builder
	b.WriteString(table(k))
	for _, l := range k.Lines {
		for _, s := range l.Derivation.Sentences() {
			b.WriteString(s + "\n")
		}
	}
	fmt.Fprintln(&b, k.Faces, k.Leaves, k.NetLength, k.GateLength, k.Cautions)
	for _, c := range k.Cuts {
		fmt.Fprintln(&b, c.Use, *c.Plan)
	}
	return b.String()
}

// What is ordered is at least what is needed, whole units and whole packs, and
// by less than a unit and a pack more than net and waste. The derivation ends
// with the order.
func TestOrderCoversNet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, s := drawYard(t)
		waste := decimal.MustNew(rapid.Int64Range(0, 2000).Draw(t, "waste"), 2)
		s.Waste.Boards, s.Waste.Fasteners, s.Waste.Concrete = &waste, &waste, &waste
		pack := decimal.MustNew(rapid.Int64Range(1, 3000).Draw(t, "pack"), 2)
		l, err := layout.Plan(st, s)
		if err != nil {
			t.Skip(err)
		}
		offers := make(map[string]takeoff.Offer)
		for item, unit := range map[string]takeoff.Unit{"board-1x6-6ft": takeoff.Each, "nail-8d-ring": takeoff.Pound, "concrete-80lb": takeoff.Bag} {
			offers[item] = takeoff.Offer{Unit: unit, Pack: pack}
		}
		k, err := takeoff.Count(l, s, offers)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range k.Lines {
			if line.Net.Cmp(line.Order) > 0 {
				t.Fatalf("%s: net %s, order %s", line.Item, line.Net, line.Order)
			}
			if _, rest, err := line.Order.QuoRem(line.Pack); err != nil || !rest.IsZero() {
				t.Fatalf("%s: an order of %s in packs of %s", line.Item, line.Order, line.Pack)
			}
			steps := line.Derivation.Steps
			if last := steps[len(steps)-1].Result; !strings.HasPrefix(last, line.Order.String()+" ") {
				t.Fatalf("%s: ordered %s, and the derivation ends with %s", line.Item, line.Order, last)
			}
		}
	})
}

// The boards of the faces and the leaves are the boards of the line.
func TestFacesAddUpToTheLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, s := drawYard(t)
		l, k := counted(t, st, s, nil)
		total := 0
		for i, f := range k.Faces {
			total += f.Boards
			if f.Stretch != i || f.Width != l.Stretches[i].Length()+f.StartReach+f.FinishReach {
				t.Fatalf("stretch %d: a face of %s", i, f.Width)
			}
		}
		for _, f := range k.Leaves {
			total += f.Leaves * f.Boards
		}
		for _, line := range k.Lines {
			if line.Category == takeoff.Boards && line.Net.String() != fmt.Sprint(total) {
				t.Fatalf("the line has %s boards, the faces %d", line.Net, total)
			}
		}
	})
}

// A dearer stick never makes the sticks cheaper, where the plans are proven.
func TestDearerStock(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, s := drawYard(t)
		offers := make(map[string]takeoff.Offer)
		for _, item := range []string{"rail-2x4-8ft", "rail-2x4-12ft", "rail-2x4-16ft"} {
			offers[item] = takeoff.Offer{Unit: takeoff.Each, Price: decimal.MustNew(rapid.Int64Range(100, 3000).Draw(t, item), 2)}
		}
		_, before := counted(t, st, s, offers)
		dearer := rapid.SampledFrom([]string{"rail-2x4-8ft", "rail-2x4-12ft", "rail-2x4-16ft"}).Draw(t, "dearer")
		o := offers[dearer]
		old := o.Price
		more, err := o.Price.Add(decimal.MustNew(rapid.Int64Range(1, 500).Draw(t, "by"), 2))
		if err != nil {
			t.Fatal(err)
		}
		o.Price = more
		offers[dearer] = o
		_, after := counted(t, st, s, offers)
		a, b := before.Cuts[0].Plan, after.Cuts[0].Plan
		if a.Proven && b.Proven && b.Cost.Less(a.Cost) {
			t.Fatalf("%s at %s: %s; cheaper than %s before", dearer, more, b.Cost, a.Cost)
		}
		// Each sold alone and without waste, what is ordered is what is cut.
		if was, is := ordered(t, before, offers, dearer, old), ordered(t, after, offers, "", decimal.Zero); a.Proven && b.Proven && is.Less(was) {
			t.Fatalf("%s at %s: %s to order; cheaper than %s before", dearer, more, is, was)
		}
	})
}

// ordered is what the rails cost to order, one item at a price of its own.
func ordered(t *rapid.T, k *takeoff.Takeoff, offers map[string]takeoff.Offer, item string, own decimal.Decimal) decimal.Decimal {
	total := decimal.Zero
	for _, l := range k.Lines {
		if l.Category != takeoff.Rails {
			continue
		}
		price := offers[l.Item].Price
		if l.Item == item {
			price = own
		}
		cost, err := l.Order.Mul(price)
		if err == nil {
			total, err = total.Add(cost)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return total
}
