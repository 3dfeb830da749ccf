package takeoff_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// What is sold by another unit is rounded up to whole units of the take-off,
// converted exactly, and rounded up to whole packs of what is sold. By hand, for
// the 22 ft of TestThreeBays with its 2 ft3 of gravel, 3 lb of nails and 52 boards to buy.
func TestSoldByAnotherUnit(t *testing.T) {
	l, s := plan(t, site22(), sixFoot()), sixFoot()
	own := lines(t, l, s, nil)
	for _, c := range []struct{ offer, order, step string }{
		{"gravel 60 yd3", "1 yd3", "2 ft3 x 1/27 yd3/ft3 = 0.0740... yd3"},
		{"gravel 60 yd3 0.25", "0.25 yd3", "0.0740... yd3 in packs of 0.25 yd3 = 0.2962... packs, rounded up to whole packs: 0.25 yd3"},
		{"gravel 60 m3 0.01", "0.06 m3", "2 ft3 x 0.028316846592 m3/ft3 = 0.0566... m3"},
		{"gravel 6 gal 5", "15 gal", "2 ft3 x 576/77 gal/ft3 = 14.9610... gal"},
		{"board-1x6-6ft 40 dozen", "5 dozen", "x 1/12 dozen/each"},
		{"board-1x6-6ft 300 hundred 0.1", "0.6 hundred", "x 0.01 hundred/each"},
		{"nail-8d-ring 9 kg", "2 kg", "x 0.45359237 kg/lb"},
		{"nail-8d-ring 9 oz", "48 oz", "x 16 oz/lb"},
	} {
		item, _, _ := strings.Cut(c.offer, " ")
		got := lines(t, l, s, prices(c.offer))[item]
		if order := got.Order.String() + " " + string(got.OrderedIn()); order != c.order {
			t.Errorf("%s: ordered %s, want %s (needed %s %s)\n%s", c.offer, order, c.order, own[item].Order, own[item].Unit, strings.Join(got.Derivation.Sentences(), "\n"))
		}
		if words := strings.Join(got.Derivation.Sentences(), "\n"); !strings.Contains(words, c.step) {
			t.Errorf("%s: want %q in\n%s", c.offer, c.step, words)
		}
		if got.Unit != own[item].Unit || got.Net.Cmp(own[item].Net) != 0 {
			t.Errorf("%s: the net is in another unit: %s %s", c.offer, got.Net, got.Unit)
		}
	}
}

func TestRefusal(t *testing.T) {
	for _, c := range []struct{ price, unit, want, refusal string }{
		{"4.60", "lb", "lb", ""}, {"4.60", "kg", "lb", ""}, {"0.13", "hour/m", "hour/ft", ""}, {"0.3", "hour/yd", "hour/ft", ""},
		{"9", "bag", "ft3", "is priced per bag, which is no fixed number of ft3; expected per ft3 or yd3, gal, qt, l, m3"},
		{"9", "box", "bag", "is priced per box, which is no fixed number of bag; expected per bag"},
		{"0.1", "hour/yd", "hour/ft", "is 0.1 hour/yd, which is no exact decimal in hour/ft (0.0333333333...); expected it in hour/ft"},
		{"0.1", "hour/ft", "hour", "is priced per hour/ft, which is no fixed number of hour; expected per hour or minute"},
	} {
		o := takeoff.Offer{Price: decimal.MustParse(c.price), Unit: takeoff.Unit(c.unit)}
		if got := o.Refusal(takeoff.Unit(c.want)); got != c.refusal {
			t.Errorf("%s per %s for %s: %q, want %q", c.price, c.unit, c.want, got, c.refusal)
		}
	}
}

// Rules before version 4 take offers in the item's own unit only.
func TestOldRulesTakeOneUnit(t *testing.T) {
	l, s := plan(t, site22(), sixFoot()), sixFoot()
	for rules := 1; rules <= 3; rules++ {
		_, err := takeoff.Job{Layout: l, Spec: s, Rules: rules}.Count(prices("gravel 60 yd3"))
		if want := `prices[gravel].unit: expected "ft3", found "yd3"`; fault.KindOf(err) != fault.Invalid || !strings.Contains(fmt.Sprint(err), want) {
			t.Errorf("rules %d: %v, want %s", rules, err, want)
		}
	}
}

// A rate of 0.01 hour/m is one of 0.003048 hour/ft; a hundred is a pack of a hundred. Whichever way an offer is put, the same
// is cut, ordered and paid.
func TestHowAnOfferIsPutDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, s := drawYard(t)
		cents := func(name string) int64 { return rapid.Int64Range(100, 3000).Draw(t, name) }
		put := func(item string, offers, again map[string]takeoff.Offer, unit, other takeoff.Unit, times int64) {
			price, pack := cents(item), rapid.Int64Range(1, 9).Draw(t, "pack")
			offers[item] = takeoff.Offer{Price: decimal.MustNew(price, 2), Unit: unit, Pack: decimal.MustNew(pack*times, 0)}
			again[item] = takeoff.Offer{Price: decimal.MustNew(price*times, 2), Unit: other, Pack: decimal.MustNew(pack, 0)}
		}
		offers, again := map[string]takeoff.Offer{}, map[string]takeoff.Offer{}
		for _, item := range []string{"rail-2x4-8ft", "rail-2x4-12ft", "rail-2x4-16ft"} {
			put(item, offers, again, takeoff.Each, "hundred", 100)
		}
		put("gravel", offers, again, takeoff.CubicFoot, "yd3", 27)
		put("nail-16d", offers, again, takeoff.Pound, "cwt", 100)
		offers["rate-fence"] = takeoff.Offer{Price: decimal.MustParse("0.003048"), Unit: takeoff.HourPerFoot}
		again["rate-fence"] = takeoff.Offer{Price: decimal.MustParse("0.01"), Unit: "hour/m"}
		offers["rate-gate"] = takeoff.Offer{Price: decimal.MustParse("0.5"), Unit: takeoff.HourPerLeaf}
		again["rate-gate"] = offers["rate-gate"]
		_, a := counted(t, st, s, offers)
		_, b := counted(t, st, s, again)
		if a.Delivery.Pounds.Cmp(b.Delivery.Pounds) != 0 || len(a.Lines) != len(b.Lines) {
			t.Fatalf("%v lb and %v lb, %d and %d lines", a.Delivery.Pounds, b.Delivery.Pounds, len(a.Lines), len(b.Lines))
		}
		times := map[takeoff.Unit]int64{"hundred": 100, "yd3": 27, "cwt": 100}
		for i, l := range a.Lines {
			m := b.Lines[i]
			ordered := m.Order
			if n := times[m.OrderUnit]; n > 0 {
				ordered, _ = ordered.Mul(decimal.MustNew(n, 0))
			}
			if l.Item != m.Item || l.Order.Cmp(ordered) != 0 || l.Unit != m.Unit {
				t.Fatalf("%s: %s %s, put otherwise %s: %s %s", l.Item, l.Order, l.Unit, m.Item, m.Order, m.OrderedIn())
			}
		}
	})
}

func site22() site.Site { return site.Site{Runs: []site.Run{run("0,0 22,0")}} }

// lines are those of a layout at the offers, by item.
func lines(t *testing.T, l *layout.Layout, s spec.Spec, offers map[string]takeoff.Offer) map[string]takeoff.Line {
	t.Helper()
	k, err := takeoff.Count(l, s, offers)
	if err != nil {
		t.Fatal(err)
	}
	all := make(map[string]takeoff.Line)
	for _, line := range k.Lines {
		all[line.Item] = line
	}
	return all
}
