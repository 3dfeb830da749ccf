package quote

import (
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/takeoff"
)

// BOM-1, Iowa State Ag Decision Maker B1-75 (2012): the bill of 1,320 ft of woven
// wire. It is printed as 2,553.31; its own quantities and prices make 2,553.30.
// The counts are the bill's: it checks the pricing.
func TestBillOfWovenWire(t *testing.T) {
	r := Request{Currency: money.USD, Pricing: Pricing{}.WithDefaults()}
	q := Quote{Takeoff: &takeoff.Takeoff{NetLength: 1320 * measure.Foot}}
	for _, l := range []struct {
		item            string
		category        takeoff.Category
		unit            takeoff.Unit
		quantity, price string
	}{
		{"post-8rd-8ft", takeoff.Posts, takeoff.Each, "4", "28.00"},
		{"post-4rd-8ft", takeoff.Posts, takeoff.Each, "57", "9.00"},
		{"post-tee-6ft", takeoff.Posts, takeoff.Each, "55", "5.00"},
		{"fence-staple", takeoff.Fasteners, takeoff.Pound, "10", "1.80"},
		{"barbed", takeoff.Wires, takeoff.Foot, "1320", "0.06"},
		{"woven", takeoff.Wires, takeoff.Foot, "1320", "0.70"},
		{"crew-hour", takeoff.Labour, takeoff.Hour, "42", "15.05"},
	} {
		q.Takeoff.Lines = append(q.Takeoff.Lines, takeoff.Line{Item: l.item, Category: l.category, Unit: l.unit,
			Net: dec(l.quantity), Pack: decimal.One, Order: dec(l.quantity)})
		r.Prices = append(r.Prices, book.Resolved{Item: l.item, Offers: []book.Entry{{Item: l.item, Office: book.MainOffice, Supplier: "millbrook",
			Effective: civil.Must("2012-01-01"), Revision: 1, State: book.Priced, Currency: money.USD, Unit: string(l.unit), Pack: decimal.One,
			Breaks: []book.Break{{Price: dec(l.price)}}}}})
	}
	var c money.Calc
	q.price(&c, r, newShop(r, nil))
	q.total(&c, r)
	if err := c.Err(); err != nil {
		t.Fatal(err)
	}
	same(t, "material", q.Totals.Material, "1921.20")
	same(t, "labour", q.Totals.Labour, "632.10")
	same(t, "total", q.Totals.Total, "2553.30")
	same(t, "per foot, to a tenth of a cent", q.PerFoot.PriceNet.Round(3), "1.934")
}

// BOM-2, the same: what four fences cost a year, in whole dollars. Each is its
// first cost over its life, 8 % interest on half of it and its maintenance,
// rounded after summing; rounded before, none of the four comes out.
func TestYearlyCostIsRoundedAfterSumming(t *testing.T) {
	yen, err := money.ParseCurrency("JPY") // a currency without a minor unit, as the table is printed
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []struct{ first, years, maintenance, want string }{
		{"1987", "20", "8", "338"},
		{"1613", "20", "8", "274"},
		{"1485", "25", "5", "193"},
		{"928", "25", "5", "121"},
	} {
		var c money.Calc
		first := dec(f.first)
		parts := []decimal.Decimal{
			c.Quo(first, dec(f.years)),
			c.Percent(c.Percent(first, dec("50")), dec("8")),
			c.Percent(first, dec(f.maintenance)),
		}
		r := Request{Currency: yen, Pricing: Pricing{}.WithDefaults()}
		before := decimal.Zero
		for _, part := range parts {
			r.Custom = append(r.Custom, line(Material, part.String()))
			before = c.Add(before, money.HalfUp.Round(part, yen))
		}
		q := Quote{Takeoff: &takeoff.Takeoff{}}
		q.price(&c, r, newShop(r, nil))
		q.total(&c, r)
		if err := c.Err(); err != nil {
			t.Fatal(err)
		}
		same(t, "a fence of "+f.first, q.Totals.Total, f.want)
		if before.Cmp(dec(f.want)) == 0 {
			t.Errorf("a fence of %s: rounded before summing it is %s too, so that it tells nothing", f.first, before)
		}
	}
}
