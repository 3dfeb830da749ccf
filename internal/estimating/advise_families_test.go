package estimating_test

import (
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// everything is a price list of all that the choices of some specs may ask for on
// the yard.
func everything(t *testing.T, specs []spec.Spec) book.Import {
	t.Helper()
	in := book.Import{Company: company, Office: book.MainOffice, Mode: book.Patch}
	listed := map[string]bool{}
	for _, given := range specs {
		filled := given.WithDefaults()
		search := quote.Search{}.WithDefaults(filled)
		for _, m := range search.Methods {
			for bay := search.From; bay <= search.To; bay += search.Step {
				sp := quote.Choice{MaxBay: bay, Method: m, Stock: filled.Rails.Stock}.In(given).WithDefaults()
				l, err := layout.Plan(yard(), sp)
				if err != nil {
					t.Fatal(err)
				}
				for _, w := range (takeoff.Job{Layout: l, Spec: sp}).Wanted() {
					if listed[w.Item] {
						continue
					}
					listed[w.Item] = true
					in.Entries = append(in.Entries, book.Entry{
						Item: w.Item, Office: book.MainOffice, Supplier: "millbrook", Effective: civil.Must("2026-01-05"), State: book.Priced,
						Description: w.Item, Currency: money.USD, Unit: string(w.Unit), Pack: decimal.One,
						Breaks: []book.Break{{Price: decimal.MustNew(int64(300+len(listed)%17*100), 2)}},
					})
				}
			}
		}
	}
	return in
}

// Of every family the advice is no dearer than the spec, and tries no bay that
// the family is not built with.
func TestAdviceFollowsTheFamily(t *testing.T) {
	var specs []spec.Spec
	for _, f := range spec.Families() {
		specs = append(specs, spec.Spec{Family: f, Height: measure.Must(f.Definition().Heights[0])})
	}
	s := service(storetest.New(t))
	mustImport(t, s, "everything", everything(t, specs))
	for _, sp := range specs {
		own := sp.WithDefaults().Layout.MaxBay
		advice, err := advise(s, func(in *estimating.Advise) { in.Spec, in.Table = sp, 100 })
		if err != nil {
			t.Errorf("%s: %v", sp.Family, err)
			continue
		}
		if advice.Given == nil || advice.ToGiven.Cost.Sign() < 0 || advice.Given.MaxBay != own {
			t.Errorf("%s: as given %+v, more than the best by %+v", sp.Family, advice.Given, advice.ToGiven)
		}
		for _, c := range advice.Table {
			if sp.Family != spec.VerticalBoards && c.MaxBay > own {
				t.Errorf("%s with bays to %s has a candidate of %s", sp.Family, own, c.Choice)
			}
			if (sp.Family == spec.Panels || sp.Family == spec.SplitRail) && (c.MaxBay != own || advice.Tried != 3) {
				t.Errorf("%s: %s, one of %d tried; its bay is no choice", sp.Family, c.Choice, advice.Tried)
			}
		}
	}
}
