package quote

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

func dec(s string) decimal.Decimal { return decimal.MustParse(s) }

func ft(n measure.Length) measure.Length { return n * measure.Foot }

func at(east, north measure.Length) measure.Point {
	return measure.Point{East: ft(east), North: ft(north)}
}

// yard is three sides of a back yard, tied in to a house wall at both ends,
// with a walk gate and a double drive gate. Figures of our own.
//
//	      house wall
//	==========================
//	|                        |
//	[walk]                   |
//	|                        |
//	+------[ drive ]---------+
func yard() site.Site {
	return site.Site{Runs: []site.Run{{
		ID:       "yard",
		Vertices: []measure.Point{at(0, 0), at(0, -40), at(60, -40), at(60, 0)},
		Start:    site.Terminus{TieIn: true}, End: site.Terminus{TieIn: true},
		Face: site.Right,
		Gates: []site.Gate{
			{ID: "walk", Station: ft(12), Width: ft(4), Leaves: 1},
			{ID: "drive", Station: ft(60), Width: ft(10), Leaves: 2, Swing: site.Right},
		},
	}}}
}

func straight(length measure.Length) site.Site {
	return site.Site{Runs: []site.Run{{ID: "back", Vertices: []measure.Point{{}, {East: length}}}}}
}

// privacy is a 6 ft fence of butted boards, all by default.
func privacy() spec.Spec { return spec.Spec{Name: "privacy", Height: ft(6)}.WithDefaults() }

// ask is a request at prices that market invents: the more letters an item's
// name has, the dearer.
func ask(t testing.TB, s site.Site, f spec.Spec, p Pricing) Request {
	t.Helper()
	r := Request{
		Company: "harrow", Offices: []string{book.MainOffice}, Customer: "cust-17", ExternalRef: "job-4411",
		Currency: money.USD, AsOf: civil.Must("2026-03-02"), ValidUntil: civil.Must("2026-04-01"),
		Head: book.Head{Revision: 3, Hash: [32]byte{1, 2, 3}}, RulesVersion: RulesVersion,
		Site: s, Spec: f, Pricing: p.WithDefaults(),
	}.Normalised()
	l, err := Plan(r)
	if err != nil {
		t.Fatal(err)
	}
	r.Prices = market(takeoff.Candidates(l, f), "1")
	return r
}

// market invents a price for each item, times a factor.
func market(items []string, factor string) []book.Resolved {
	prices := make([]book.Resolved, len(items))
	for i, item := range items {
		price := decimal.MustNew(int64(149+37*len(item)), 2)
		price, _ = price.Mul(dec(factor))
		unit := unitOf(item)
		if strings.HasPrefix(item, "rate-") {
			price = dec("0.18")
		}
		prices[i] = book.Resolved{Item: item, Offers: []book.Entry{{
			Item: item, Office: book.MainOffice, Supplier: "millbrook", Effective: civil.Must("2026-03-01"), Revision: 2,
			State: book.Priced, Description: item, Currency: money.USD, Unit: string(unit), Pack: decimal.One,
			Breaks: []book.Break{{Price: price}},
		}}}
	}
	return prices
}

func unitOf(item string) takeoff.Unit {
	for prefix, unit := range map[string]takeoff.Unit{
		"concrete-": takeoff.Bag, "gravel": takeoff.CubicFoot, "nail-": takeoff.Pound,
		"crew-hour": takeoff.Hour, "rate-fence": takeoff.HourPerFoot, "rate-gate": takeoff.HourPerLeaf,
	} {
		if strings.HasPrefix(item, prefix) {
			return unit
		}
	}
	return takeoff.Each
}
