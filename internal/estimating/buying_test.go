package estimating_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/auth"
	"wattle/internal/book"
	"wattle/internal/estimating"
	"wattle/internal/office"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
)

// What a job leaves open of how it buys, the office's settings say; what they
// leave open, the same for everybody. The stored quote has it all, so a setting
// that changes later changes no quote.
func TestOfficeSettingsAreTheDefaults(t *testing.T) {
	store := storetest.New(t)
	s := service(store)
	in := list(0, "2026-01-05")
	gravel := in.Entries[slices.IndexFunc(in.Entries, func(e book.Entry) bool { return e.Item == "gravel" })]
	gravel.Supplier, gravel.Breaks = "acre", []book.Break{{Price: decimal.MustParse("99")}}
	in.Entries = append(in.Entries, gravel)
	mustImport(t, s, "list", in)

	from := func(at string, p quote.Pricing) estimating.Stored {
		t.Helper()
		c := auth.ForCompany(company)
		c.Tree = office.NewTree([]office.Office{
			{ID: office.Main, Version: 1, Settings: office.Settings{StaleAfterDays: new(40), PreferredSuppliers: []string{"acre"}}},
			{ID: "west", Version: 1, Parent: office.Main, Settings: office.Settings{StaleAfterDays: new(0)}},
		})
		wish := job(fmt.Sprintf("%s%q", at, p.PreferredSuppliers)+fmt.Sprint(p.PreferredSuppliers == nil), 24, "2026-03-05")
		wish.Office, wish.Pricing = at, p
		stored, err := s.CreateQuote(estimating.WithCaller(t.Context(), c), wish)
		if err != nil {
			t.Fatal(err)
		}
		return stored
	}
	for _, c := range []struct {
		at        string
		asked     quote.Pricing
		supplier  string
		days      int
		cautioned bool
	}{
		{office.Main, quote.Pricing{}, "acre", 40, true},
		{"west", quote.Pricing{}, "acre", 0, false},
		{office.Main, quote.Pricing{PreferredSuppliers: []string{"millbrook"}, StaleAfterDays: new(59)}, "millbrook", 59, false},
		// The cheapest, whomever the office prefers.
		{office.Main, quote.Pricing{PreferredSuppliers: []string{}}, "millbrook", 40, true},
	} {
		got := from(c.at, c.asked)
		i := slices.IndexFunc(got.Quote.Lines, func(l quote.Line) bool { return l.Item == "gravel" })
		stale := false
		for _, x := range got.Quote.Cautions {
			stale = stale || x.Code == "prices-stale"
		}
		if got.Quote.Lines[i].Supplier != c.supplier || *got.Request.Pricing.StaleAfterDays != c.days || stale != c.cautioned {
			t.Errorf("%s: of %s, %d days, cautioned %v; want %s, %d, %v", c.at, got.Quote.Lines[i].Supplier, *got.Request.Pricing.StaleAfterDays, stale, c.supplier, c.days, c.cautioned)
		}
		replay, err := s.ReplayQuote(scoped(), company, got.Record.ID)
		if err != nil || !replay.Identical() {
			t.Errorf("%s: %+v, %v", c.at, replay, err)
		}
	}
}
