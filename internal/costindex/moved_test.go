package costindex_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/measure"
	"wattle/internal/money"
)

// basket reads lines such as "boards | Board 1x6, 6 ft | each | 289 | 4.12".
func basket(since string, revision int64, lines ...string) (items []costindex.ItemCost) {
	for _, line := range lines {
		cells := strings.Split(line, " | ")
		items = append(items, costindex.ItemCost{
			Component: cells[0], Item: cells[1], Description: cells[1], Unit: cells[2], Quantity: dec(cells[3]), Price: dec(cells[4]),
			Since: civil.Must(since), Revision: revision,
		})
	}
	return items
}

func TestExplain(t *testing.T) {
	from := basket("2026-03-16", 1,
		"posts | Post 4x4, 8 ft | each | 18 | 13.85",
		"boards | Board 1x6, 6 ft | each | 289 | 4.12",
		"rails | Rail 2x4, 8 ft | each | 47 | 6.95",
		"concrete | Concrete, 60 lb | bag | 56 | 5.40",
		"hardware | Nail 8d | lb | 12 | 2.75")
	to := basket("2026-09-16", 2,
		"posts | Post 4x4, 8 ft | each | 18 | 13.10",
		"boards | Board 1x6, 6 ft | each | 289 | 4.55",
		"rails | Rail 2x4, 8 ft | each | 49 | 7.35",
		"concrete | Concrete, 60 lb | bag | 58 | 5.40",
		"hardware | Nail 8d | box | 2 | 18.05")
	c, err := costindex.Explain(from, to, 170*measure.Foot+measure.Foot/3, money.USD)
	if err != nil {
		t.Fatal(err)
	}
	want := `
total 2102.03 -> 2260.20 = 158.17, per foot 12.3407 -> 13.2693 = 0.9286
boards 1190.68 -> 1314.95 = 124.27, per foot 6.9903 -> 7.7199 = 0.7296
concrete 302.40 -> 313.20 = 10.80, per foot 1.7754 -> 1.8388 = 0.0634
hardware 33.00 -> 36.10 = 3.10, per foot 0.1937 -> 0.2119 = 0.0182
posts 249.30 -> 235.80 = -13.50, per foot 1.4636 -> 1.3843 = -0.0793
rails 326.65 -> 360.15 = 33.50, per foot 1.9177 -> 2.1144 = 0.1967
Board 1x6, 6 ft went from 4.12 to 4.55 each (+10.4 %) on 2026-09-16, revision 2: +0.7296 USD a foot, 78.6 % of the change
Nail 8d was added, 2 at 18.05 a box: +0.2119 USD a foot, 22.8 % of the change
Rail 2x4, 8 ft went from 6.95 to 7.35 each (+5.8 %) on 2026-09-16, revision 2, and went from 47 to 49 in quantity: +0.1967 USD a foot (price +0.1104, quantity +0.0863), 21.2 % of the change
Nail 8d was removed, 12 at 2.75 a lb: -0.1937 USD a foot, -20.9 % of the change
Post 4x4, 8 ft went from 13.85 to 13.10 each (-5.4 %) on 2026-09-16, revision 2: -0.0793 USD a foot, -8.5 % of the change
Concrete, 60 lb went from 56 to 58 in quantity at 5.40 a bag: +0.0634 USD a foot, 6.8 % of the change
`
	var got strings.Builder
	got.WriteString("\n")
	row := func(name string, from, to, difference costindex.Amount) {
		fmt.Fprintf(&got, "%s %s -> %s = %s, per foot %v -> %v = %v\n", name, money.Fixed(from.Basket, 2), money.Fixed(to.Basket, 2), money.Fixed(difference.Basket, 2), from.PerFoot, to.PerFoot, difference.PerFoot)
	}
	row("total", c.From, c.To, c.Difference)
	for _, p := range c.Parts {
		row(p.Component, p.From, p.To, p.Difference)
	}
	for _, m := range c.Movers {
		fmt.Fprintf(&got, "%s\n", c.Sentence(m))
	}
	if got.String() != want {
		t.Errorf("got %swant %s", got.String(), want)
	}
	if c.Percent.String() != "7.5" || c.Rest.Items != 0 {
		t.Errorf("%v %% and %v besides", c.Percent, c.Rest)
	}
}

func drawSide(t *rapid.T, side string) (items []costindex.ItemCost) {
	for _, component := range []string{"boards", "posts", "rails"} {
		for i := range 6 {
			if rapid.IntRange(0, 3).Draw(t, side) == 0 {
				continue
			}
			items = append(items, costindex.ItemCost{
				Item: fmt.Sprint(component, " ", i), Component: component, Unit: rapid.SampledFrom([]string{"each", "each", "each", "box"}).Draw(t, "unit"),
				Quantity: decimal.MustNew(rapid.Int64Range(0, 30).Draw(t, "quantity"), rapid.IntRange(0, 1).Draw(t, "decimals")),
				Price:    decimal.MustNew(rapid.Int64Range(0, 5000).Draw(t, "price"), 2),
			})
		}
	}
	return items
}

// Whatever moved: columns and rows add up, in the basket and per foot; price and
// quantity add up to each mover; the movers and the rest to the whole; no mover is
// smaller than the rest's largest; and the way back is the way there with the sign
// turned.
func TestExplainAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, to := drawSide(t, "from"), drawSide(t, "to")
		if len(from)+len(to) == 0 {
			t.Skip("nothing on either side")
		}
		over := measure.Length(rapid.Int64Range(int64(measure.Foot), int64(5000*measure.Foot)).Draw(t, "over"))
		c, err := costindex.Explain(from, to, over, money.USD)
		if err != nil {
			t.Fatal(err)
		}
		var calc money.Calc
		cost := func(items []costindex.ItemCost) (sum decimal.Decimal) {
			for _, i := range items {
				sum = calc.Add(sum, calc.Mul(i.Quantity, i.Price))
			}
			return sum
		}
		same := func(what string, a, b decimal.Decimal) {
			if a.Cmp(b) != 0 {
				t.Fatalf("%s: %v is not %v, of\n%+v", what, a, b, c)
			}
		}
		same("from", c.From.Basket, cost(from))
		same("to", c.To.Basket, cost(to))
		add := func(a, b costindex.Amount) costindex.Amount {
			return costindex.Amount{Basket: calc.Add(a.Basket, b.Basket), PerFoot: calc.Add(a.PerFoot, b.PerFoot)}
		}
		agree := func(what string, a, b costindex.Amount) {
			same(what, a.Basket, b.Basket)
			same(what+" per foot", a.PerFoot, b.PerFoot)
		}
		var sumFrom, sumTo, sumDifference costindex.Amount
		for _, p := range c.Parts {
			agree("row "+p.Component, add(p.From, p.Difference), p.To)
			sumFrom, sumTo, sumDifference = add(sumFrom, p.From), add(sumTo, p.To), add(sumDifference, p.Difference)
		}
		agree("column from", sumFrom, c.From)
		agree("column to", sumTo, c.To)
		agree("column difference", sumDifference, c.Difference)
		sum := c.Rest.Difference
		for i, m := range c.Movers {
			agree("mover", add(m.ByPrice, m.ByQuantity), m.Difference)
			sum = add(sum, m.Difference)
			if i > 0 && c.Movers[i-1].Difference.Basket.CmpAbs(m.Difference.Basket) < 0 {
				t.Fatalf("mover %d is larger than the one before", i)
			}
			if c.Sentence(m) == "" {
				t.Fatal("no sentence")
			}
		}
		agree("movers and rest", sum, c.Difference)
		if len(c.Movers) > costindex.MostMovers || c.Rest.Items > 0 && len(c.Movers) < costindex.MostMovers {
			t.Fatalf("%d movers and %d more", len(c.Movers), c.Rest.Items)
		}
		back, err := costindex.Explain(to, from, over, money.USD)
		if err != nil {
			t.Fatal(err)
		}
		agree("the way back", add(back.Difference, c.Difference), costindex.Amount{})
	})
}

func TestExplainRefusals(t *testing.T) {
	from := basket("2026-01-01", 1, "posts | Post | each | 1 | -2", "posts | Post | each | -1 | 2", "posts |   | each | 1 | 2")
	_, err := costindex.Explain(from, nil, 0, money.USD)
	want := `the request has 5 thing(s) to put right
  length: 0 nm; expected more than 0
  from[0].price: -2 for Post; expected 0 or more
  from[1].item: Post by the each is there twice in posts
  from[1].quantity: -1 of Post; expected 0 or more
  from[2].item: it has no name`
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if _, err := costindex.Explain(nil, nil, measure.Foot, money.USD); err == nil {
		t.Error("a change of nothing")
	}
}

func TestSentences(t *testing.T) {
	from := basket("2026-01-01", 1, "a | moved in both | each | 10 | 2.5", "a | only fewer | bag | 10 | 1", "a | went | roll | 1 | 3", "a | free before | each | 1 | 0", "a | as dear | lb | 6 | 2")
	to := basket("2026-02-01", 3, "a | moved in both | each | 8 | 3.125", "a | only fewer | bag | 4.50 | 1.00", "a | came | hour | 2 | 3", "a | free before | each | 1 | 2", "a | as dear | lb | 3 | 4")
	c, err := costindex.Explain(from, to, 10*measure.Foot, money.USD)
	if err != nil {
		t.Fatal(err)
	}
	var got strings.Builder
	for _, m := range c.Movers {
		got.WriteString(c.Sentence(m) + "\n")
	}
	want := `came was added, 2 at 3.00 an hour: +0.6000 USD a foot, -1200.0 % of the change
only fewer went from 10 to 4.5 in quantity at 1.00 a bag: -0.5500 USD a foot, 1100.0 % of the change
went was removed, 1 at 3.00 a roll: -0.3000 USD a foot, 600.0 % of the change
free before went from 0.00 to 2.00 each on 2026-02-01, revision 3: +0.2000 USD a foot, -400.0 % of the change
as dear went from 2.00 to 4.00 a lb (+100.0 %) on 2026-02-01, revision 3, and went from 6 to 3 in quantity: 0.0000 USD a foot (price +1.2000, quantity -1.2000), 0.0 % of the change
moved in both went from 2.50 to 3.125 each (+25.0 %) on 2026-02-01, revision 3, and went from 10 to 8 in quantity: 0.0000 USD a foot (price +0.6250, quantity -0.6250), 0.0 % of the change
`
	if got.String() != want {
		t.Errorf("got\n%swant\n%s", got.String(), want)
	}
}

// More than ten movers: the rest is one.
func TestRest(t *testing.T) {
	var from, to []costindex.ItemCost
	for i := range 13 {
		line := fmt.Sprintf("posts | Post %02d | each | 1 | ", i)
		from = append(from, basket("2026-01-01", 1, line+"10")...)
		to = append(to, basket("2026-02-01", 2, line+fmt.Sprint(11+i/12))...)
	}
	c, err := costindex.Explain(from, to, measure.Foot, money.USD)
	if err != nil {
		t.Fatal(err)
	}
	if c.Movers[0].To.Item != "Post 12" || c.Movers[9].To.Item != "Post 08" || c.Rest.Items != 3 || c.Rest.Difference.Basket.String() != "3" {
		t.Errorf("%v to %v, the rest %v", c.Movers[0].To.Item, c.Movers[9].To.Item, c.Rest)
	}
}
