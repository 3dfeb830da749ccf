package book

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/civil"
	"wattle/internal/money"
)

// One item at two offices from five suppliers, as of 1 June 2026.
func TestExplain(t *testing.T) {
	history := entries(
		"rail/acre 2025-06-01#1 5.80",
		"rail/acre 2026-01-01#2 6.00,100:5.40",
		"rail/acre 2026-09-01#3 6.60",
		"rail/acre 2026-07-01#3 6.30",
		"rail/acre 2026-07-01#4 6.20",
		"rail/acre 2026-02-01#5 1.00", // learned too late
		"rail/birch 2026-01-01#1 5.50",
		"rail/birch@west 2026-03-01#2 5.45",
		"rail/birch@east 2026-03-01#2 1.00", // not on the path
		"rail/cedar 2026-01-01#1 6.00",
		"rail/cedar@west 2026-01-01#2 inherit",
		"rail/dogwood 2026-01-01#1 3.00",
		"rail/dogwood 2026-05-01#2 withdrawn",
		"rail/elder 2026-01-01#1 4.00",
		"rail/fir 2026-01-01#1 0.05",
		"rail/gum 2026-01-01#1 540",
	)
	for i := range history {
		switch history[i].Supplier {
		case "elder":
			history[i].Currency = "CAD"
		case "fir":
			history[i].Unit = "lb"
		case "gum":
			history[i].Unit = "hundred"
		}
	}
	q := Query{Items: []string{"rail"}, Offices: []string{"west", "main"}, AsOf: civil.Must("2026-06-01"), Revision: 4, Currency: "USD"}
	came := make(map[Reason]bool)
	const rest = `
dogwood main 2026-05-01#2 withdrawn: Withdrawn from 2026-05-01.
dogwood main 2026-01-01#1 superseded: Superseded by the entry that holds from 2026-05-01, learned in revision 2.
elder main 2026-01-01#1 other-currency: Priced in CAD, not in USD.
fir main 2026-01-01#1 unit-not-convertible: Priced per lb, which is no fixed number of each.`
	for _, c := range []struct {
		wish Wish
		want string
	}{
		{Wish{}, `
acre main 2026-07-01#4 not-yet-effective: Holds from 2026-07-01, after the date asked for, 2026-06-01.
acre main 2026-01-01#2 dearer-supplier: 6.00 USD each is more than 5.4 USD each (540 per hundred) of gum.
acre main 2025-06-01#1 superseded: Superseded by the entry that holds from 2026-01-01, learned in revision 2.
birch west 2026-03-01#2 dearer-supplier: 5.45 USD each is more than 5.4 USD each (540 per hundred) of gum.
birch main 2026-01-01#1 farther-office: The entry of office west decides, which is nearer.
cedar west 2026-01-01#2 inherits: Leaves the price to the office above.
cedar main 2026-01-01#1 dearer-supplier: 6.00 USD each is more than 5.4 USD each (540 per hundred) of gum.` + rest + `
gum main 2026-01-01#1 won: 5.4 USD each (540 per hundred) is what gum asks: the lowest of 4 prices.`},
		{Wish{Quantity: decimal.MustParse("120"), Unit: "each"}, `
acre main 2026-07-01#4 not-yet-effective: Holds from 2026-07-01, after the date asked for, 2026-06-01.
acre main 2026-01-01#2 won: 5.40 USD each is what acre asks from 100 on: the lowest of 4 prices, by name the first that asks it.
acre main 2025-06-01#1 superseded: Superseded by the entry that holds from 2026-01-01, learned in revision 2.
birch west 2026-03-01#2 dearer-supplier: 5.45 USD each is more than 5.40 USD each of acre.
birch main 2026-01-01#1 farther-office: The entry of office west decides, which is nearer.
cedar west 2026-01-01#2 inherits: Leaves the price to the office above.
cedar main 2026-01-01#1 dearer-supplier: 6.00 USD each is more than 5.40 USD each of acre.` + rest + `
gum main 2026-01-01#1 tied-supplier: 5.4 USD each (540 per hundred) is also what acre asks, whose name comes first.`},
		{Wish{Preferred: []string{"oak", "dogwood", "fir", "birch", "acre"}, Unit: "dozen", Quantity: decimal.MustParse("10")}, `
acre main 2026-07-01#4 not-yet-effective: Holds from 2026-07-01, after the date asked for, 2026-06-01.
acre main 2026-01-01#2 not-preferred: 64.8 USD per dozen (5.40 each) from 100 on, but birch is preferred.
acre main 2025-06-01#1 superseded: Superseded by the entry that holds from 2026-01-01, learned in revision 2.
birch west 2026-03-01#2 won: 65.4 USD per dozen (5.45 each) is what birch asks: the first of the preferred suppliers that has an offer.
birch main 2026-01-01#1 farther-office: The entry of office west decides, which is nearer.
cedar west 2026-01-01#2 inherits: Leaves the price to the office above.
cedar main 2026-01-01#1 not-preferred: 72 USD per dozen (6.00 each), but birch is preferred.` + strings.ReplaceAll(rest, "number of each", "number of dozen") + `
gum main 2026-01-01#1 not-preferred: 64.8 USD per dozen (540 per hundred), but birch is preferred.`},
	} {
		got := Explain(history, q, map[string]Wish{"rail": c.wish})
		var b strings.Builder
		for _, x := range got[0].Considered {
			came[x.Reason] = true
			fmt.Fprintf(&b, "\n%s %s %v#%d %s: %s", x.Entry.Supplier, x.Entry.Office, x.Entry.Effective, x.Entry.Revision, x.Reason, x.Text)
		}
		if b.String() != c.want {
			t.Errorf("%+v:%s\nwant%s", c.wish, &b, c.want)
		}
	}
	for _, r := range Reasons() {
		if !came[r] {
			t.Errorf("%s never came up", r)
		}
	}
}

func TestBuy(t *testing.T) {
	r := Resolved{Item: "wire", Offers: entries("wire/acre 2026-01-01 0.80", "wire/birch 2026-01-01 2.50,500:2.40", "wire/cedar 2026-01-01 45")}
	r.Offers[0].Unit, r.Offers[1].Unit, r.Offers[2].Unit = "ft", "m", "roll"
	for _, c := range []struct {
		quantity, unit, preferred string
		supplier, price           string // of the entry's own unit
	}{
		{"0", "ft", "", "birch", "2.50"}, // 0.762 a foot
		{"1640", "ft", "", "birch", "2.50"},
		{"1641", "ft", "", "birch", "2.40"}, // 500.1768 m
		{"0", "ft", "acre", "acre", "0.80"},
		{"0", "ft", "cedar acre", "acre", "0.80"}, // a roll is no number of feet
		{"0", "roll", "", "cedar", "45"},
		{"0", "", "", "birch", "2.50"},          // in acre's unit
		{"0", "", "cedar birch", "cedar", "45"}, // in cedar's
		{"0", "lb", "", "", ""},
	} {
		bid, ok := r.Buy(Wish{decimal.MustParse(c.quantity), c.unit, strings.Fields(c.preferred)})
		if ok != (c.supplier != "") || ok && (bid.Entry.Supplier != c.supplier || bid.Break.Price.String() != c.price) {
			t.Errorf("%s %s, preferred %q: %s at %s, %v; want %s at %s", c.quantity, c.unit, c.preferred, bid.Entry.Supplier, bid.Break.Price, ok, c.supplier, c.price)
		}
	}
	if _, ok := (Resolved{}).Buy(Wish{}); ok {
		t.Error("bought nothing from nobody")
	}
	rates := Resolved{Offers: entries("rate/acre 2026-01-01 0.30", "rate/birch 2026-01-01 0.10")}
	rates.Offers[0].Unit, rates.Offers[1].Unit = "hour/m", "hour/ft" // 0.30 hour/m is 0.09144 hour/ft
	if bid, ok := rates.Buy(Wish{Unit: "hour/ft"}); !ok || bid.Entry.Supplier != "acre" || bid.Price.FloatString(6) != "0.091440" {
		t.Errorf("of two rates: %v", bid)
	}
}

// Without a preference, in one unit, Buy is Pick. With one, more offers or lower
// prices of others never take the order from who is preferred.
func TestBuyLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Resolved{}
		for _, name := range []string{"acre", "birch", "cedar"}[:rapid.IntRange(1, 3).Draw(t, "suppliers")] {
			e := offer(t)
			e.Supplier = name
			r.Offers = append(r.Offers, e)
		}
		order := decimal.MustNew(rapid.Int64Range(0, 100).Draw(t, "order"), 0)
		entry, br, _ := r.Pick(order)
		bid, ok := r.Buy(Wish{Quantity: order})
		if !ok || !reflect.DeepEqual(bid.Entry, entry) || bid.Break != br {
			t.Fatalf("bought of %v at %v, picked %v at %v", bid.Entry, bid.Break, entry, br)
		}
		last := r.Offers[len(r.Offers)-1].Supplier
		if bid, _ = r.Buy(Wish{Quantity: order, Preferred: []string{"nobody", last}}); bid.Entry.Supplier != last {
			t.Fatalf("bought of %s, preferred %s", bid.Entry.Supplier, last)
		}
	})
}

// Every entry in force is told of once, one at most has won, it is what Buy buys
// of what Resolve resolves, and the order of rows does not matter.
func TestExplainLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		history := rapid.SliceOfNDistinct(rapid.Custom(anyOffer), 0, 30, func(e Entry) slotAt { return slotAt{e.slot(), e.Revision} }).Draw(t, "history")
		q := Query{Items: []string{"post"}, Offices: []string{"west", "main"}, Currency: "USD", AsOf: anyDate(t), Revision: Revision(rapid.Int64Range(0, 5).Draw(t, "known"))}
		wish := Wish{Unit: "each", Preferred: rapid.SampledFrom([][]string{nil, {"acre"}, {"birch", "acre"}}).Draw(t, "preferred")}
		wishes := map[string]Wish{"post": wish}
		x := Explain(history, q, wishes)[0]
		if again := Explain(rapid.Permutation(history).Draw(t, "shuffled"), q, wishes)[0]; !reflect.DeepEqual(x, again) {
			t.Fatalf("the order of rows changed it: %v, %v", x, again)
		}
		if want := Resolve(history, q)[0]; !reflect.DeepEqual(x.Resolved, want) {
			t.Fatalf("resolved %v, want %v", x.Resolved, want)
		}
		bid, ok := x.Buy(wish)
		if ok != (x.Winner != nil) {
			t.Fatalf("bought %v %v, won %v", bid, ok, x.Winner)
		}
		told, won := map[slotAt]int{}, 0
		for _, c := range x.Considered {
			told[slotAt{c.Entry.slot(), c.Entry.Revision}]++
			if c.Reason == Won {
				won++
				if !reflect.DeepEqual(c.Entry, bid.Entry) {
					t.Fatalf("won %v, bought %v", c.Entry, bid.Entry)
				}
			}
		}
		if (won == 1) != ok || won > 1 {
			t.Fatalf("%d have won: %v", won, x.Considered)
		}
		for _, e := range find("post", slices.DeleteFunc(slices.Clone(history), func(e Entry) bool {
			return e.Item != "post" || e.Revision > q.Revision || !slices.Contains(q.Offices, e.Office)
		}), q.AsOf).InForce {
			if told[slotAt{e.slot(), e.Revision}] != 1 {
				t.Fatalf("%v is in force and told of %d times: %v", e, told[slotAt{e.slot(), e.Revision}], x.Considered)
			}
		}
	})
}

func anyOffer(t *rapid.T) Entry {
	e := anyEntry(t)
	e.Item, e.Office = "post", rapid.SampledFrom([]string{"main", "west"}).Draw(t, "at")
	e.Supplier = rapid.SampledFrom([]string{"acre", "birch", "cedar"}).Draw(t, "from")
	if e.State == Priced {
		e.Unit = rapid.SampledFrom([]string{"each", "each", "dozen", "bag"}).Draw(t, "unit")
		e.Currency = rapid.SampledFrom([]money.Currency{"USD", "USD", "USD", "CAD"}).Draw(t, "currency")
	}
	return e
}
