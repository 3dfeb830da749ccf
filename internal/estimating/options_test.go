package estimating_test

import (
	"context"
	"errors"
	"slices"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// counting is a price store that counts its queries.
type counting struct {
	estimating.PriceStore
	resolved int
}

func (c *counting) Resolve(ctx context.Context, q book.Query) ([]book.Resolved, book.Head, error) {
	c.resolved++
	return c.PriceStore.Resolve(ctx, q)
}

// opened is the use cases over a book of one list, and the count of queries.
func opened(t *testing.T) (*estimating.Service, *counting) {
	t.Helper()
	s := service(storetest.New(t))
	mustImport(t, s, "first", list(0, "2026-01-05"))
	prices := &counting{PriceStore: s.Prices}
	s.Prices = prices
	return s, prices
}

// yard is two sides of a yard: 61 ft 4 in and 47 ft.
func yard() site.Site {
	east, north := measure.Must("61 ft 4 in"), measure.Must("47 ft")
	return site.Site{Runs: []site.Run{{ID: "yard", Vertices: []measure.Point{{}, {East: east}, {East: east, North: north}}}}}
}

func fixed(s site.Site) estimating.SiteFor {
	return func(spec.Spec) (estimating.Measured, error) { return estimating.Measured{Site: s}, nil }
}

// base is the quote that is compared, without its site and spec.
func base() estimating.CreateQuote {
	b := job("", 0, "2026-03-01")
	b.Key, b.Site, b.Spec = estimating.RequestKey{Company: company}, site.Site{}, spec.Spec{}
	b.Custom = []quote.CustomLine{{Description: "permit", Kind: quote.Fee, Amount: decimal.MustParse("45")}}
	b.Pricing.OverheadPercent = decimal.MustParse("12.5")
	return b
}

// quoted is the stored quote of the same spec.
func quoted(t *testing.T, s *estimating.Service, id string, at site.Site, sp spec.Spec) *quote.Quote {
	t.Helper()
	in := base()
	in.Key, in.Site, in.Spec = key("CreateQuote", id), at, sp
	stored, err := s.CreateQuote(scoped(), in)
	if err != nil {
		t.Fatal(err)
	}
	return stored.Quote
}

// sameFigures fails unless figures are the quote's, to the cent.
func sameFigures(t *testing.T, what string, f quote.Figures, q *quote.Quote) {
	t.Helper()
	want, err := quote.FiguresOf(q)
	if err != nil {
		t.Fatal(err)
	}
	if f.Totals != want.Totals || f.CrewHours.Cmp(want.CrewHours) != 0 || f.Posts != want.Posts {
		t.Errorf("%s comes to %+v, its quote to %+v", what, f, want)
	}
}

func tall(feet measure.Length, change func(*spec.Spec)) spec.Spec {
	sp := spec.Spec{Height: feet * measure.Foot}
	if change != nil {
		change(&sp)
	}
	return sp
}

func violations(t *testing.T, err error) []string {
	t.Helper()
	e, ok := errors.AsType[*fault.Error](err)
	if !ok {
		t.Fatalf("%v is no error of ours", err)
	}
	var fields []string
	for _, v := range e.Violations {
		fields = append(fields, v.Field)
	}
	return fields
}

// Every option has the figures of its own quote, off one price query; those
// that cannot be planned or priced say why, and nothing is stored.
func TestOptionsAreTheirQuotes(t *testing.T) {
	ctx := scoped()
	s, prices := opened(t)
	privacy, low := tall(6, nil), tall(6, func(sp *spec.Spec) { sp.Layout.MaxBay = 6 * measure.Foot })
	again := privacy // another name, the same work
	again.Layout.Method = spec.Even
	in := estimating.CompareOptions{Base: base(), Site: fixed(yard()), Options: []estimating.NamedSpec{
		{Name: "privacy", Spec: privacy},
		{Name: "nothing", Spec: spec.Spec{Layout: spec.Layout{MaxBay: measure.Foot}}},
		{Name: "narrow bays", Spec: low},
		{Name: "no such boards", Spec: tall(5, nil)},
		{Name: "again", Spec: again},
	}}
	out, err := s.CompareOptions(ctx, in)
	if err != nil {
		t.Fatal(err)
	}
	if prices.resolved != 1 {
		t.Errorf("%d price queries, expected 1", prices.resolved)
	}
	if records, err := s.ListQuotes(ctx, estimating.QuoteFilter{Company: company, Limit: 10}); err != nil || len(records) != 0 {
		t.Errorf("%d quotes stored (%v), expected none", len(records), err)
	}
	for i, o := range out.All {
		if o.Name != in.Options[i].Name {
			t.Errorf("option %d is called %q", i, o.Name)
		}
		if o.Err != nil {
			continue
		}
		q := quoted(t, s, o.Name, yard(), in.Options[i].Spec)
		sameFigures(t, o.Name, o.Figures, q)
		if o.PerFoot != q.PerFoot || len(o.Lines) != len(q.Takeoff.Lines) || !slices.Equal(o.Cautions, q.Cautions) {
			t.Errorf("%s differs from its quote: %+v", o.Name, o)
		}
		for j, l := range o.Lines {
			if w := q.Takeoff.Lines[j]; l.Item != w.Item || l.Order.Cmp(w.Order) != 0 {
				t.Errorf("%s, line %d: %s %s, its quote has %s %s", o.Name, j, l.Order, l.Item, w.Order, w.Item)
			}
		}
	}
	if got := violations(t, out.All[1].Err); !slices.Equal(got, []string{"options[1].spec.layout.max_bay", "options[1].spec.height"}) {
		t.Errorf("the option without a height says %q", got)
	}
	if got := violations(t, out.All[3].Err); out.All[3].Err.Reason != "PRICES_MISSING" || !slices.Equal(got, []string{"prices[board-1x6-5ft]"}) {
		t.Errorf("the option without prices says %q", got)
	}
	if out.Cheapest != 0 || out.All[4].ToCheapest.Total.Sign() != 0 || out.All[2].ToFirst.Cost.Sign() <= 0 {
		t.Errorf("the cheapest is %d; the others differ by %+v, %+v", out.Cheapest, out.All[2].ToFirst, out.All[4].ToCheapest)
	}
}

// Where no option stands, each says why under its own path; what is wrong with
// the request as a whole is told once.
func TestNoOptionStands(t *testing.T) {
	s, _ := opened(t)
	in := estimating.CompareOptions{Base: base(), Site: fixed(yard()), Options: []estimating.NamedSpec{
		{Name: "a", Spec: spec.Spec{}}, {Name: "b", Spec: tall(6, func(sp *spec.Spec) { sp.Posts.Size = "1x6" })},
	}}
	in.Base.Currency, in.Base.Pricing.Profit = money.Currency(""), "guess"
	_, err := s.CompareOptions(scoped(), in)
	want := []string{"currency", "pricing.profit", "options[0].spec.height", "options[1].spec.posts.size"}
	if got := violations(t, err); fault.KindOf(err) != fault.Invalid || !slices.Equal(got, want) {
		t.Errorf("%v\nlists %q, expected %q", err, got, want)
	}
	in = estimating.CompareOptions{Base: base(), Site: fixed(yard()), Options: []estimating.NamedSpec{
		{Name: "a", Spec: tall(5, nil)}, {Name: "b", Spec: tall(4, nil)}, {Name: "c", Spec: spec.Spec{}},
	}}
	_, err = s.CompareOptions(scoped(), in)
	want = []string{"options[0].prices[board-1x6-5ft]", "options[1].prices[board-1x6-4ft]", "options[1].prices[post-4x4-6ft]", "options[2].spec.height"}
	if got := violations(t, err); fault.KindOf(err) != fault.Refused || got[0] != want[0] || got[len(got)-1] != want[3] {
		t.Errorf("%v\nlists %q, expected such as %q", err, got, want)
	}
}

func TestBadOptions(t *testing.T) {
	s, _ := opened(t)
	for name, c := range map[string]struct {
		names []string
		want  []string
	}{
		"one":        {[]string{"a"}, []string{"options"}},
		"twins":      {[]string{"a", "b", "a", ""}, []string{"options[2].name", "options[3].name"}},
		"none":       {nil, []string{"options"}},
		"twenty-one": {[]string{"a", "b", "c", "d", "e", "f", "g", "h", "i", "j", "k", "l", "m", "n", "o", "p", "q", "r", "s", "t", "u"}, []string{"options"}},
	} {
		in := estimating.CompareOptions{Base: base(), Site: fixed(yard())}
		for _, n := range c.names {
			in.Options = append(in.Options, estimating.NamedSpec{Name: n, Spec: tall(6, nil)})
		}
		_, err := s.CompareOptions(scoped(), in)
		if got := violations(t, err); fault.KindOf(err) != fault.Invalid || !slices.Equal(got, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	in := estimating.CompareOptions{Base: base(), Site: fixed(yard()), Options: []estimating.NamedSpec{{Name: "a", Spec: tall(6, nil)}, {Name: "b", Spec: tall(6, nil)}}}
	in.Base.Revision = new(book.Revision(7))
	if _, err := s.CompareOptions(scoped(), in); fault.KindOf(err) != fault.Invalid {
		t.Errorf("a revision that is not there: %v", err)
	}
	gone, cancel := context.WithCancel(scoped())
	cancel()
	if _, err := s.CompareOptions(gone, in); fault.KindOf(err) != fault.Canceled {
		t.Errorf("cancelled: %v", err)
	}
}

// Prices that hold from later on, or that came later, are no part of it.
func TestOptionsOfAnEarlierDay(t *testing.T) {
	s, _ := opened(t)
	in := estimating.CompareOptions{Base: base(), Site: fixed(yard()), Options: []estimating.NamedSpec{{Name: "a", Spec: tall(6, nil)}, {Name: "b", Spec: tall(6, func(sp *spec.Spec) { sp.Layout.MaxBay = 7 * measure.Foot })}}}
	was, err := s.CompareOptions(scoped(), in)
	if err != nil {
		t.Fatal(err)
	}
	mustImport(t, s, "second", list(3, "2026-02-01"))
	now, err := s.CompareOptions(scoped(), in)
	if err != nil {
		t.Fatal(err)
	}
	in.Base.Revision = new(book.Revision(1))
	old, err := s.CompareOptions(scoped(), in)
	if err != nil {
		t.Fatal(err)
	}
	in.Base.Revision, in.Base.AsOf = nil, civil.Must("2026-01-31")
	before, err := s.CompareOptions(scoped(), in)
	if err != nil {
		t.Fatal(err)
	}
	for i := range was.All {
		if a := was.All[i].Totals; a != old.All[i].Totals || a != before.All[i].Totals || a == now.All[i].Totals {
			t.Errorf("option %d: %s, at the old revision %s, on the day before %s, now %s", i, a.Total, old.All[i].Totals.Total, before.All[i].Totals.Total, now.All[i].Totals.Total)
		}
	}
	if was.PricedAt.Head.Revision != 1 || now.PricedAt.Head.Revision != 2 || before.PricedAt.AsOf.String() != "2026-01-31" {
		t.Errorf("priced at %+v, %+v and %+v", was.PricedAt, now.PricedAt, before.PricedAt)
	}
}
