package basket

import (
	"fmt"
	"math/big"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
)

func line(component, item, unit, quantity string) Line {
	return Line{Item: item, Description: item, Component: component, Unit: unit, Quantity: decimal.MustParse(quantity)}
}

// span is an item priced from a day on; an empty price withdraws it.
func span(from, unit, price string) book.Span {
	s := book.Span{From: civil.Must(from)}
	if price == "" {
		s.Note = "withdrawn from " + from
		return s
	}
	s.Offers = []book.Entry{{
		Effective: s.From, State: book.Priced, Currency: "USD", Unit: unit, Pack: decimal.One,
		Breaks: []book.Break{{Price: decimal.MustParse(price)}},
	}}
	return s
}

// What a day's prices make of a basket; a day without one is a gap, and so is one
// on which an item is sold by a unit that does not convert.
func TestSeries(t *testing.T) {
	t.Parallel()
	b := Basket{Fence: 10 * measure.Foot, Lines: []Line{
		line("posts", "post", "each", "3"), line("concrete", "gravel", "ft3", "27"), line("posts", "cap", "each", "3"),
	}}
	m := Market{
		Window: book.Window{From: civil.Must("2026-01-01"), To: civil.Must("2026-12-31")},
		Spans: map[string][]book.Span{
			"post":   {span("2026-01-01", "each", "10.00"), span("2026-03-01", "each", "11.00"), span("2026-06-01", "each", ""), span("2026-07-01", "each", "12.00")},
			"gravel": {span("2026-01-01", "ft3", "2.00"), span("2026-03-01", "yd3", "54.00"), span("2026-08-01", "bag", "4.00")},
			"cap":    {span("2026-01-01", "each", "1.00")},
		},
	}
	s, err := m.Series(b, b.Fence)
	if err != nil {
		t.Fatal(err)
	}
	got := fmt.Sprintln(s.Parts)
	for _, step := range s.Steps {
		got += fmt.Sprintln(step.From, step.Parts, step.Missing)
	}
	// By hand: 3 posts at 10.00 and 3 caps over 10 ft are 3.30 a foot; 54.00 a
	// cubic yard is 2.00 a cubic foot.
	want := `[posts concrete]
2026-01-01 [3.3 5.4] []
2026-03-01 [3.6 5.4] []
2026-06-01 [] [post]
2026-07-01 [3.9 5.4] []
2026-08-01 [] [gravel]
`
	if got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	_, missing := m.At(b, civil.Must("2026-08-01"))
	if len(missing) != 1 || missing[0].Note != "no offer is in a unit that converts into ft3" {
		t.Errorf("missing %v", missing)
	}
	if _, missing := m.At(b, civil.Must("2026-06-15")); len(missing) != 1 || missing[0].Note != "withdrawn from 2026-06-01" {
		t.Errorf("missing %v", missing)
	}
}

// Quotes together buy what they buy apart, in whatever order, and cost as much.
func TestSumLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		baskets := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Basket {
			b := Basket{Fence: measure.Length(rapid.Int64Range(1, 1000).Draw(t, "feet")) * measure.Foot}
			for _, item := range rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"post", "cap", "rail", "crew-hour"}), 1, 4, rapid.ID).Draw(t, "items") {
				component := map[string]string{"post": "posts", "cap": "caps", "rail": "rails", "crew-hour": "labour"}[item]
				b.Lines = append(b.Lines, line(component, item, "each", fmt.Sprint(rapid.IntRange(1, 99).Draw(t, "quantity"))))
			}
			return b
		}), 1, 6).Draw(t, "baskets")
		all, err := Sum(baskets...)
		if err != nil {
			t.Fatal(err)
		}
		if again, err := Sum(rapid.Permutation(baskets).Draw(t, "order")...); err != nil || fmt.Sprint(again) != fmt.Sprint(all) {
			t.Fatalf("%v, in another order %v, %v", all, again, err)
		}
		v := &fault.List{}
		if all.Validate(v); v.Err() != nil {
			t.Fatal(v.Err())
		}
		m := Market{Window: book.Window{From: civil.Must("2026-01-01"), To: civil.Must("2026-01-31")}, Spans: map[string][]book.Span{}}
		for _, item := range all.Items() {
			m.Spans[item] = []book.Span{span("2026-01-01", "each", "7.13")}
		}
		cost := func(b Basket) (sum decimal.Decimal) {
			items, missing := m.At(b, m.Window.From)
			if len(missing) > 0 {
				t.Fatalf("missing %v", missing)
			}
			for _, item := range items {
				one, _ := item.Quantity.Mul(item.Price)
				sum, _ = sum.Add(one)
			}
			return sum
		}
		var apart decimal.Decimal
		for _, b := range baskets {
			apart, _ = apart.Add(cost(b))
		}
		if together := cost(all); together.Cmp(apart) != 0 {
			t.Fatalf("together %v, apart %v", together, apart)
		}
		for _, l := range all.Material().Lines {
			if l.Component == "labour" {
				t.Fatalf("labour is material: %v", l)
			}
		}
		s, err := m.Series(all, all.Fence)
		if err != nil || len(s.Steps) != 1 {
			t.Fatalf("%v, %v", s, err)
		}
		total, _ := costindex.Total(s.Steps[0].Parts)
		if want, _ := costindex.ShareOut(perFootOf(cost(all), all.Fence), costindex.PerFootDecimals); total.Cmp(want[0]) != 0 {
			t.Fatalf("parts come to %v a foot, the whole to %v", total, want[0])
		}
	})
}

func perFootOf(cost decimal.Decimal, length measure.Length) []*big.Rat {
	r := money.Rat(cost)
	return []*big.Rat{r.Quo(r, big.NewRat(int64(length), int64(measure.Foot)))}
}
