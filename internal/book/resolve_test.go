package book

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/civil"
)

func TestResolve(t *testing.T) {
	history := entries(
		"post 2026-01-01#1 10.00",
		"post 2026-06-01#1 10.50",
		"post 2026-03-01#2 11.00",
		"post 2026-01-01#3 9.00", // corrects the first

		"rail/acre 2026-01-01#1 6.00",
		"rail/birch 2026-02-01#1 5.50",
		"rail/birch 2026-04-01#2 withdrawn",
		"rail/acre@west 2026-03-01#2 5.00",
		"rail/acre@west 2026-05-01#3 inherit",
		"rail/acre@north 2026-01-01#2 withdrawn",

		"cap 2026-01-01#1 2.00",
		"cap 2026-03-01#2 withdrawn",
		"cap 2026-09-01#3 2.20",
		"gate@west 2026-01-01#1 inherit",
		"nail 2026-08-01#1 3.00",
	)
	main, west, north := "main", "west main", "north west main"
	for _, c := range []struct {
		item, offices, asOf string
		r                   Revision
		want                string
	}{
		// The latest effective date, then the highest revision.
		{"post", main, "2026-01-01", 1, "post 2026-01-01#1 10.00"},
		{"post", main, "2026-02-28", 1, "post 2026-01-01#1 10.00"},
		{"post", main, "2026-03-01", 1, "post 2026-01-01#1 10.00"},
		{"post", main, "2026-03-01", 2, "post 2026-03-01#2 11.00"},
		{"post", main, "2026-06-01", 3, "post 2026-06-01#1 10.50"},
		{"post", main, "2026-02-01", 2, "post 2026-01-01#1 10.00"},
		{"post", main, "2026-02-01", 3, "post 2026-01-01#3 9.00"},
		{"post", main, "2025-12-31", 3, "first price from 2026-01-01"},
		{"post", main, "2026-06-01", 0, "unknown item"},
		// Per supplier; a withdrawal stops that supplier only.
		{"rail", main, "2026-03-01", 3, "rail/acre 2026-01-01#1 6.00; rail/birch 2026-02-01#1 5.50"},
		{"rail", main, "2026-04-01", 3, "rail/acre 2026-01-01#1 6.00"},
		// The nearest office with an entry decides; inherit passes the question up.
		{"rail", west, "2026-02-01", 3, "rail/acre 2026-01-01#1 6.00; rail/birch 2026-02-01#1 5.50"},
		{"rail", west, "2026-03-01", 3, "rail/acre@west 2026-03-01#2 5.00; rail/birch 2026-02-01#1 5.50"},
		{"rail", west, "2026-05-01", 2, "rail/acre@west 2026-03-01#2 5.00"},
		{"rail", west, "2026-05-01", 3, "rail/acre 2026-01-01#1 6.00"},
		{"rail", north, "2026-03-01", 3, "rail/birch 2026-02-01#1 5.50"},
		{"rail", north, "2026-04-01", 3, "withdrawn from 2026-04-01"},
		{"rail", "north", "2026-04-01", 3, "withdrawn from 2026-01-01"},
		// Why there is none.
		{"cap", main, "2026-03-01", 2, "withdrawn from 2026-03-01"},
		{"cap", main, "2026-03-01", 3, "withdrawn from 2026-03-01, priced again from 2026-09-01"},
		{"cap", main, "2026-09-01", 3, "cap 2026-09-01#3 2.20"},
		{"gate", west, "2026-03-01", 3, "inherits its price, but no office above has one"},
		{"gate", main, "2026-03-01", 3, "unknown item"},
		{"nail", main, "2026-07-31", 3, "first price from 2026-08-01"},
		{"latch", main, "2026-07-31", 3, "unknown item"},
	} {
		q := Query{Items: []string{"other", c.item}, Offices: strings.Fields(c.offices), AsOf: civil.Must(c.asOf), Revision: c.r, Currency: "USD"}
		got := Resolve(history, q)
		if len(got) != 2 || got[1].Item != c.item || got[0].Note != "unknown item" {
			t.Fatalf("answers are not in the order asked: %v", got)
		}
		if s := answer(got[1]); s != c.want {
			t.Errorf("%s at %s as of %s, revision %d: %s, want %s", c.item, c.offices, c.asOf, c.r, s, c.want)
		}
	}
}

func answer(r Resolved) string {
	if len(r.Offers) == 0 {
		return r.Note
	}
	var parts []string
	for _, e := range r.Offers {
		parts = append(parts, line(&e))
	}
	return strings.Join(parts, "; ") + r.Note
}

func TestResolveInOneCurrency(t *testing.T) {
	history := entries("post/acre 2026-01-01#1 10.00", "post/birch 2026-01-01#1 14.00", "rail 2026-01-01#1 6.00")
	history[1].Currency, history[2].Currency = "CAD", "CAD"
	q := Query{Items: []string{"post", "rail"}, Offices: []string{"main"}, AsOf: civil.Must("2026-01-01"), Revision: 1, Currency: "USD"}
	got := Resolve(history, q)
	if answer(got[0]) != "post/acre 2026-01-01#1 10.00" || answer(got[1]) != "priced in CAD, not in USD" {
		t.Errorf("%v", got)
	}
}

func TestPick(t *testing.T) {
	r := Resolved{Item: "rail", Offers: entries(
		"rail/acre 2026-01-01 6.00,100:5.00,500:4.00",
		"rail/birch 2026-01-01 5.50,500:4.00",
		"rail/cedar 2026-01-01 5.5")}
	for _, c := range []struct{ order, supplier, price string }{
		{"0", "birch", "5.50"}, // birch and cedar ask the same: by name
		{"99.999", "birch", "5.50"},
		{"100", "acre", "5.00"},
		{"499", "acre", "5.00"},
		{"500", "acre", "4.00"}, // acre and birch ask the same
		{"100000", "acre", "4.00"},
	} {
		e, b, ok := r.Pick(decimal.MustParse(c.order))
		if !ok || e.Supplier != c.supplier || b.Price.String() != c.price {
			t.Errorf("order of %s: %s at %v, %v; want %s at %s", c.order, e.Supplier, b.Price, ok, c.supplier, c.price)
		}
	}
	if _, _, ok := (Resolved{}).Pick(decimal.One); ok {
		t.Error("picked from nothing")
	}
	if _, _, ok := r.Pick(decimal.MustParse("-1")); ok {
		t.Error("picked for a negative order")
	}
}

// A higher price or another supplier's offer never changes the price paid the
// wrong way.
func TestPickIsNeverDearer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Resolved{Offers: rapid.SliceOfN(rapid.Custom(offer), 1, 4).Draw(t, "offers")}
		order := decimal.MustNew(rapid.Int64Range(0, 100).Draw(t, "order"), 0)
		_, b, ok := r.Pick(order)
		more := Resolved{Offers: append(slices.Clone(r.Offers), offer(t))}
		_, c, _ := more.Pick(order)
		if !ok || b.Price.Less(c.Price) {
			t.Fatalf("one more offer raised %v to %v", b.Price, c.Price)
		}
		for _, e := range r.Offers {
			if own, _ := e.breakFor(order); own.Price.Less(b.Price) {
				t.Fatalf("picked %v where one asks %v", b.Price, own.Price)
			}
		}
	})
}

func offer(t *rapid.T) Entry {
	e := entry("x 2026-01-01 1")
	e.Breaks = nil
	for i := range rapid.Int64Range(1, 4).Draw(t, "breaks") {
		e.Breaks = append(e.Breaks, Break{decimal.MustNew(i*20, 0), decimal.MustNew(rapid.Int64Range(1, 50).Draw(t, "price"), 2)})
	}
	return e
}

// What is learned later, and the order rows are read in, never change what was
// known.
func TestResolveLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		history := rapid.SliceOfNDistinct(rapid.Custom(anyEntry), 0, 30, func(e Entry) slotAt { return slotAt{e.slot(), e.Revision} }).Draw(t, "history")
		q := Query{
			Items: []string{"post", "rail"}, Offices: []string{"west", "main"}, Currency: "USD",
			AsOf: anyDate(t), Revision: Revision(rapid.Int64Range(0, 5).Draw(t, "known")),
		}
		want := Resolve(history, q)
		known := slices.DeleteFunc(slices.Clone(history), func(e Entry) bool { return e.Revision > q.Revision })
		if got := Resolve(known, q); !reflect.DeepEqual(got, want) {
			t.Fatalf("later entries changed it: %v, without them %v", want, got)
		}
		shuffled := rapid.Permutation(history).Draw(t, "shuffled")
		if got := Resolve(shuffled, q); !reflect.DeepEqual(got, want) {
			t.Fatalf("the order of rows changed it: %v, %v", want, got)
		}
		for _, r := range want {
			if (len(r.Offers) == 0) != (r.Note != "") {
				t.Fatalf("an offer and a note, or neither: %v", r)
			}
			for _, e := range r.Offers {
				if e.State != Priced || e.Revision > q.Revision || e.Effective.Compare(q.AsOf) > 0 {
					t.Fatalf("offered %v", e)
				}
			}
		}
	})
}

type slotAt struct {
	slot
	r Revision
}

func anyEntry(t *rapid.T) Entry {
	e := Entry{
		Item:      rapid.SampledFrom([]string{"post", "rail"}).Draw(t, "item"),
		Office:    rapid.SampledFrom([]string{"main", "west", "north"}).Draw(t, "office"),
		Supplier:  rapid.SampledFrom([]string{"", "acre"}).Draw(t, "supplier"),
		Effective: anyDate(t),
		Revision:  Revision(rapid.Int64Range(1, 5).Draw(t, "revision")),
		State:     rapid.SampledFrom([]State{Priced, Priced, Priced, Withdrawn, Inherit}).Draw(t, "state"),
	}
	if e.State == Priced {
		e.Unit, e.Pack, e.Currency = "each", decimal.One, "USD"
		e.Breaks = []Break{{decimal.Zero, decimal.MustNew(rapid.Int64Range(1, 9).Draw(t, "price"), 0)}}
	}
	return e
}

func anyDate(t *rapid.T) civil.Date {
	return civil.Must("2026-01-01").AddDays(rapid.IntRange(0, 6).Draw(t, "day"))
}
