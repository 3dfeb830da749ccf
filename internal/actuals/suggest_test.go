package actuals

import (
	"cmp"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
)

func entry(item, unit, price, supplier string) book.Entry {
	return book.Entry{
		Item: item, Office: "main", Supplier: supplier, Effective: civil.Must("2026-01-01"), Revision: 3, State: book.Priced, Currency: "USD",
		Unit: unit, Pack: decimal.One, Breaks: []book.Break{{Price: decimal.MustParse(price)}},
	}
}

func market(entries ...book.Entry) Market {
	m := Market{Office: "north", Effective: civil.Must("2026-06-01"), Prices: map[string]book.Resolved{}}
	for _, e := range entries {
		r := m.Prices[e.Item]
		r.Item, r.Offers = e.Item, append(r.Offers, e)
		m.Prices[e.Item] = r
	}
	return m
}

func TestAFactorNeedsJobsAndADifference(t *testing.T) {
	for _, c := range []struct {
		jobs              int64
		estimated, actual string
		least             int
		want, why         string
	}{
		{0, "0", "0", 5, "", "no job has both an estimate and what was used"},
		{4, "100", "120", 5, "", "4 of the 5 jobs from which on a factor is suggested"},
		{5, "100", "120", 5, "1.2", ""},
		{5, "200", "200.99", 5, "", "as estimated: the factor is 1"}, // 1.00495
		{5, "200", "201", 5, "1.01", ""},                             // 1.005, half up
		{5, "200", "0.9", 5, "", "next to nothing was used, and a factor of 0 is none to estimate by"},
		{1, "3", "2", 1, "0.67", ""},
	} {
		g := Group{Jobs: c.jobs, Estimated: decimal.MustParse(c.estimated), Actual: decimal.MustParse(c.actual)}
		factor, why, err := g.Factor(c.least)
		if err != nil || text(factor) != cmp.Or(c.want, "-") || why != c.why {
			t.Errorf("%v: %s, %q, %v", c, text(factor), why, err)
		}
	}
}

func TestTheEntryThatFollows(t *testing.T) {
	holes := Key{Kind: Task, Name: "holes", Unit: "hour", HoursOf: Person, Currency: "USD", Rates: "rate-holes 0.5 hour/each"}
	fence := Key{Kind: Labour, Name: "crew-hour", Unit: "hour", HoursOf: Crew, Currency: "USD", Rates: "rate-fence 0.06096 hour/ft\nrate-gate 1.5 hour/leaf"}
	ofCrew := holes
	ofCrew.Crew = "crew-2"
	several := entry("rate-holes", "hour/each", "0.5", "")
	several.Breaks = append(several.Breaks, book.Break{MinQuantity: decimal.MustParse("10"), Price: decimal.MustParse("0.4")})
	for _, c := range []struct {
		key    Key
		market Market
		want   string // or the reason
	}{
		{holes, market(entry("rate-holes", "hour/each", "0.5", "")), "rate-holes north 2026-06-01 0.6 hour/each was 0.5 of 2026-01-01"},
		// In the unit and for the supplier of the entry in force.
		{fence, market(entry("rate-fence", "hour/m", "0.2", "own"), entry("rate-gate", "hour/leaf", "1.5", "")),
			"rate-fence north own 2026-06-01 0.24 hour/m was 0.2 of 2026-01-01; rate-gate north 2026-06-01 1.8 hour/leaf was 1.5 of 2026-01-01"},
		// What was corrected is not corrected again.
		{holes, market(entry("rate-holes", "hour/each", "0.6", "")), "estimated by 0.5 hour/each, and rate-holes is 0.6 on 2026-06-01 at north: jobs that are estimated by that are another group"},
		{holes, market(), "rate-holes has no rate in force on 2026-06-01 at north"},
		{holes, market(entry("rate-holes", "hour/ft", "0.5", "")), "rate-holes has no rate in force on 2026-06-01 at north"},
		{holes, market(several), "rate-holes has several rates by quantity on 2026-06-01 at north"},
		{ofCrew, market(entry("rate-holes", "hour/each", "0.5", "")), "rates are of an office, not of a crew"},
		{Key{Kind: Labour, Name: "labour-hour"}, market(), "the hours of all tasks: the rate of each is corrected by its own"},
		{Key{Kind: Material, Name: "gravel"}, market(), "no rate of the book; waste is a setting of the spec"},
	} {
		entries, got, err := Group{Key: c.key}.Entries(decimal.MustParse("1.2"), c.market)
		var all []string
		for _, e := range entries {
			where := e.Office
			if e.Supplier != "" {
				where += " " + e.Supplier
			}
			all = append(all, strings.Join([]string{e.Item, where, e.Effective.String(), e.Breaks[0].Price.Trim(0).String(), e.Unit, "was", e.InForce.Breaks[0].Price.String(), "of", e.InForce.Effective.String()}, " "))
		}
		if got == "" {
			got = strings.Join(all, "; ")
		}
		if err != nil || got != c.want {
			t.Errorf("%v: %q, %v; want %q", c.key, got, err, c.want)
		}
	}
}
