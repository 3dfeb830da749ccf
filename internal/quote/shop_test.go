package quote

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// bargains is a yard whose gravel, nails, boards, hours and rates several
// suppliers sell by several units, from several dates:
//
//	gravel         millbrook a ft3, acre 20.00 a yd3, birch 1.00 a bag
//	nail-8d-ring   millbrook a lb, acre 9.00 a kg
//	board-1x6-6ft  millbrook each, birch 55.00 a dozen, or 36.00 from 10 dozen on
//	crew-hour      acre 0.90 a minute alone
//	rate-fence     acre 0.5 hour/m alone
func bargains(t testing.TB, p Pricing) Request {
	r := ask(t, yard(), privacy(), p)
	offer := func(item, supplier, unit, price, since string, more ...book.Break) {
		i := slices.IndexFunc(r.Prices, func(p book.Resolved) bool { return p.Item == item })
		if i < 0 {
			t.Fatalf("%s is no candidate", item)
		}
		e := r.Prices[i].Offers[0]
		e.Supplier, e.Unit, e.Effective = supplier, unit, civil.Must(since)
		e.Breaks = append([]book.Break{{Price: dec(price)}}, more...)
		if unit == "minute" || unit == "hour/m" {
			r.Prices[i].Offers = nil
		}
		r.Prices[i].Offers = append(r.Prices[i].Offers, e)
		slices.SortFunc(r.Prices[i].Offers, func(a, b book.Entry) int { return strings.Compare(a.Supplier, b.Supplier) })
	}
	offer("gravel", "acre", "yd3", "2.00", "2025-08-01")
	offer("gravel", "birch", "bag", "1.00", "2026-01-01")
	offer("nail-8d-ring", "acre", "kg", "9.00", "2025-09-03")
	offer("board-1x6-6ft", "birch", "dozen", "55.00", "2025-09-02", book.Break{MinQuantity: dec("10"), Price: dec("36")})
	offer("crew-hour", "acre", "minute", "0.90", "2026-01-01")
	offer("rate-fence", "acre", "hour/m", "0.5", "2024-02-29")
	return r
}

func lineOf(t testing.TB, q *Quote, item string) Line {
	t.Helper()
	i := slices.IndexFunc(q.Lines, func(l Line) bool { return l.Item == item })
	if i < 0 {
		t.Fatalf("no line of %s", item)
	}
	return q.Lines[i]
}

func sold(l Line) string {
	return fmt.Sprintf("%s: %s %s at %s of %s", l.Item, l.Quantity, l.Unit, l.UnitPrice, l.Supplier)
}

func TestSeveralSuppliersAndUnits(t *testing.T) {
	for _, c := range []struct {
		preferred string
		want      []string
	}{
		// 12 ft3 of gravel; 19 lb of nails, which are 8.6 kg, 9.00 a kg being 4.08 a
		// lb; 327 boards, which are 27.25 dozen, at 4.58 each by the dozen; 128 ft at
		// 0.1524 hour/ft, at 0.90 a minute.
		{"", []string{
			"gravel: 1 yd3 at 2.00 of acre", "nail-8d-ring: 9 kg at 9.00 of acre",
			"board-1x6-6ft: 28 dozen at 36 of birch", "crew-hour: 19.56 hour at 54 of acre",
		}},
		{"millbrook", []string{
			"gravel: 12 ft3 at 3.71 of millbrook", "nail-8d-ring: 19 lb at 5.93 of millbrook",
			"board-1x6-6ft: 327 each at 6.30 of millbrook", "crew-hour: 19.56 hour at 54 of acre",
		}},
		{"birch acre", []string{ // a bag is no number of cubic feet, so birch has no gravel to offer
			"gravel: 1 yd3 at 2.00 of acre", "nail-8d-ring: 9 kg at 9.00 of acre", "board-1x6-6ft: 28 dozen at 36 of birch",
		}},
	} {
		r := bargains(t, Pricing{PreferredSuppliers: strings.Fields(c.preferred)})
		q := build(t, r)
		for _, want := range c.want {
			item, _, _ := strings.Cut(want, ":")
			if got := sold(lineOf(t, q, item)); got != want {
				t.Errorf("preferred %q: %s, want %s", c.preferred, got, want)
			}
		}
		doc := Document(r, q)
		if diff, err := Replay(doc); err != nil || len(diff) > 0 {
			t.Errorf("preferred %q does not replay: %v %v", c.preferred, diff, err)
		}
	}
}

// Two quotes that buy an item by different units compare by the price per the
// first's; the parts add up exactly.
func TestCompareAcrossUnits(t *testing.T) {
	a, b := build(t, bargains(t, Pricing{})), build(t, bargains(t, Pricing{PreferredSuppliers: []string{"millbrook"}}))
	comparison, err := Compare(a, b)
	if err != nil {
		t.Fatal(err)
	}
	var c money.Calc
	for _, l := range comparison.Lines {
		if l.Cost.Cmp(l.By.Sum(&c)) != 0 {
			t.Errorf("%s: %s is not the sum of its parts", l.Item, l.Cost)
		}
		// 1 yd3 at 2.00, where it is 27 ft3 at 3.71 each.
		if want := dec("98.17"); l.Item == "gravel" && l.By.Price.Cmp(want) != 0 {
			t.Errorf("gravel: by price %s, want %s", l.By.Price, want)
		}
	}
}

// All that cannot be converted is told at once, with every supplier's reason.
func TestUnitsThatDoNotConvertAreWithoutPrice(t *testing.T) {
	r := bargains(t, Pricing{})
	put := func(item, unit, price string) {
		p := &r.Prices[slices.IndexFunc(r.Prices, func(p book.Resolved) bool { return p.Item == item })]
		for i := range p.Offers {
			p.Offers[i].Unit, p.Offers[i].Breaks = unit, []book.Break{{Price: dec(price)}}
		}
	}
	put("gravel", "bag", "2")
	put("cap-4x4", "box", "20")
	put("rate-gate", "hour/each", "2")
	put("rate-fence", "hour/yd", "0.1")
	_, err := Build(r)
	e, ok := errors.AsType[*fault.Error](err)
	if !ok || e.Kind != fault.Refused || e.Reason != "PRICES_MISSING" {
		t.Fatalf("%v", err)
	}
	want := []fault.Violation{
		{Field: "prices[cap-4x4]", Description: "is priced per box, which is no fixed number of each; expected per each or pair, dozen, hundred, gross, thousand"},
		{Field: "prices[gravel]", Description: "of acre is priced per bag, which is no fixed number of ft3; expected per ft3 or yd3, gal, qt, l, m3; " +
			"of birch is priced per bag, which is no fixed number of ft3; expected per ft3 or yd3, gal, qt, l, m3; " +
			"of millbrook is priced per bag, which is no fixed number of ft3; expected per ft3 or yd3, gal, qt, l, m3"},
		{Field: "prices[rate-fence]", Description: "is 0.1 hour/yd, which is no exact decimal in hour/ft (0.0333333333...); expected it in hour/ft"},
		{Field: "prices[rate-gate]", Description: "is priced in hour/each, which is no fixed number of hour/leaf; expected in hour/leaf"},
	}
	if !slices.Equal(e.Violations, want) {
		t.Errorf("%v", err)
	}
}

func TestStalePricesAreACaution(t *testing.T) {
	stale := func(p Pricing) string {
		for _, c := range build(t, bargains(t, p)).Cautions {
			if c.Code == "prices-stale" {
				return c.Text
			}
		}
		return ""
	}
	// As of 2026-03-02, 180 days before which is 2025-09-03.
	if got, want := stale(Pricing{}), "Prices are more than 180 days old on 2026-03-02: from 2024-02-29 (rate-fence); from 2025-08-01 (gravel); from 2025-09-02 (board-1x6-6ft)."; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	if got := stale(Pricing{StaleAfterDays: new(0)}); got != "" {
		t.Errorf("without a limit: %s", got)
	}
	if got, want := stale(Pricing{StaleAfterDays: new(365)}), "Prices are more than 365 days old on 2026-03-02: from 2024-02-29 (rate-fence)."; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	// What nobody buys is not told of.
	if got := stale(Pricing{PreferredSuppliers: []string{"millbrook"}}); strings.Contains(got, "gravel") || !strings.Contains(got, "rate-fence") {
		t.Errorf("preferred millbrook: %s", got)
	}
	r := bargains(t, Pricing{})
	r.Pricing.StaleAfterDays, r.Pricing.PreferredSuppliers = new(-1), []string{"a", "b", "a"}
	_, err := Plan(r)
	for _, want := range []string{"pricing.stale_after_days: days from 0", `pricing.preferred_suppliers[2]: each supplier is expected once, found "a" again`} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
}

// A dearer offer never makes a quote cheaper, and a supplier that is preferred is
// the one bought of, in whatever unit it sells.
func TestSupplierLaws(t *testing.T) {
	base := ask(t, straight(ft(24)), privacy(), Pricing{})
	rapid.Check(t, func(t *rapid.T) {
		r := base
		r.Prices = slices.Clone(base.Prices)
		prefer := rapid.Bool().Draw(t, "prefer")
		if r.Pricing.PreferredSuppliers = nil; prefer {
			r.Pricing.PreferredSuppliers = []string{"acre"}
		}
		i := slices.IndexFunc(r.Prices, func(p book.Resolved) bool { return p.Item == "gravel" })
		e := r.Prices[i].Offers[0]
		e.Supplier, e.Unit = "acre", rapid.SampledFrom([]string{"ft3", "yd3", "gal", "m3", "l"}).Draw(t, "unit")
		cents := rapid.Int64Range(1, 9_000).Draw(t, "price")
		at := func(cents int64) *Quote {
			e.Breaks = []book.Break{{Price: decimal.MustNew(cents, 2)}}
			r.Prices[i].Offers = []book.Entry{e, base.Prices[i].Offers[0]}
			q, err := Build(r)
			if err != nil {
				t.Fatal(err)
			}
			if diff, err := Replay(Document(r, q)); err != nil || len(diff) > 0 {
				t.Fatalf("does not replay: %v %v", diff, err)
			}
			return q
		}
		q, dearer := at(cents), at(cents+rapid.Int64Range(1, 1_000).Draw(t, "more"))
		l := q.Lines[slices.IndexFunc(q.Lines, func(l Line) bool { return l.Item == "gravel" })]
		if prefer && l.Supplier != "acre" {
			t.Fatalf("preferred acre, bought of %s", l.Supplier)
		}
		var c money.Calc
		if l.Cost.Cmp(c.Mul(l.Quantity, l.UnitPrice)) != 0 {
			t.Fatalf("%s x %s is not %s", l.Quantity, l.UnitPrice, l.Cost)
		}
		// Of one supplier; where another takes over, its pack may be larger.
		if m := dearer.Lines[slices.IndexFunc(dearer.Lines, func(l Line) bool { return l.Item == "gravel" })]; m.Supplier == l.Supplier && m.Cost.Less(l.Cost) {
			t.Fatalf("a dearer offer made it cheaper: %s, then %s", l.Cost, m.Cost)
		}
	})
}
