package estimating_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/govalues/decimal"

	"wattle/internal/basket"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/postgres/storetest"
	"wattle/internal/quote"
)

func window(from, to string) estimating.CostWindow {
	return estimating.CostWindow{From: civil.Must(from), To: civil.Must(to)}
}

// An index over what was quoted has each month's own quantities: it is that of
// the table which the quotes make, and a month without quotes is named.
func TestIndexOfQuotesByMonth(t *testing.T) {
	store := storetest.New(t)
	s := service(store)
	s.Impacts = store
	for i, day := range []string{"2026-01-01", "2026-02-01", "2026-03-01"} {
		mustImport(t, s, day, list(i, day))
	}
	today := civil.Must("2026-01-10")
	s.Now = func() time.Time { return today.Time().Add(12 * time.Hour) }
	var bought []basket.Basket
	for _, c := range []struct {
		on   string
		feet []measure.Length
	}{{"2026-01-10", []measure.Length{24, 40}}, {"2026-02-28", []measure.Length{100}}} {
		today = civil.Must(c.on)
		var month []basket.Basket
		for _, feet := range c.feet {
			stored, err := s.CreateQuote(scoped(), job(fmt.Sprint(c.on, feet), feet, c.on))
			if err != nil {
				t.Fatal(err)
			}
			month = append(month, basket.OfQuote(stored.Quote).Material())
		}
		sum, err := basket.Sum(month...)
		if err != nil {
			t.Fatal(err)
		}
		bought = append(bought, sum)
	}
	wish := estimating.IndexWish{
		Basket:      estimating.CostBasket{Quotes: &estimating.QuoteMix{States: []quote.State{quote.Draft}}, Currency: "USD"},
		QuotesByDay: true, Window: window("2026-01-01", "2026-02-28"), Every: costindex.Month,
	}
	table, err := s.IndexGoods(scoped(), company, "", wish)
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(table.Quotes) != "[2 1]" {
		t.Errorf("quotes by month: %v", table.Quotes)
	}
	for i, month := range bought {
		got := make(map[string]decimal.Decimal)
		for g, name := range table.Goods.Names {
			got[name] = table.Goods.Periods[i].Quantities[g]
		}
		for _, l := range month.Lines {
			if got[l.Item].Cmp(l.Quantity) != 0 {
				t.Errorf("month %d: %v of %s, want %v", i, got[l.Item], l.Item, l.Quantity)
			}
		}
	}
	laspeyres, err := table.Goods.Index(costindex.Laspeyres, false, 0)
	if err != nil {
		t.Fatal(err)
	}
	paasche, err := table.Goods.Index(costindex.Paasche, false, 0)
	if err != nil || laspeyres[1].Cmp(paasche[1]) == 0 {
		t.Errorf("the mix moved, and Laspeyres %v is Paasche %v: %v", laspeyres, paasche, err)
	}

	// March has prices and no quotes.
	wish.Window = window("2026-01-01", "2026-03-31")
	if table, err = s.IndexGoods(scoped(), company, "", wish); err != nil {
		t.Fatal(err)
	}
	if _, err := table.Goods.Index(costindex.Fisher, true, 0); fault.KindOf(err) != fault.Invalid || !strings.Contains(err.Error(), "2026-03") {
		t.Errorf("an empty month: %v", err)
	}
}

// A change of currency is a gap that says so; a history of one price, one with a
// gap, and one of a week give no risk.
func TestWhatHistoryCannotGive(t *testing.T) {
	store := storetest.New(t)
	s := service(store)
	entry := func(item, effective, currency, price string) book.Entry {
		return book.Entry{
			Item: item, Office: book.MainOffice, Effective: civil.Must(effective), State: book.Priced, Currency: "USD", Unit: "each",
			Pack: decimal.One, Breaks: []book.Break{{Price: decimal.MustParse(price)}},
		}
	}
	moved := entry("moved", "2024-06-01", "", "12")
	moved.Currency = "CAD"
	mustImport(t, s, "list", book.Import{Company: company, Mode: book.Patch, AcceptUnitChanges: true, Entries: []book.Entry{
		entry("moved", "2024-01-01", "", "10"), moved, entry("moved", "2025-01-01", "", "11"),
		entry("still", "2024-01-01", "", "10"),
	}})
	of := func(item string) estimating.CostBasket {
		return estimating.CostBasket{Currency: "USD", Items: &basket.Basket{
			Fence: measure.Foot, Lines: []basket.Line{{Item: item, Component: "items", Unit: "each", Quantity: decimal.One}},
		}}
	}
	f, err := s.FollowCost(scoped(), company, "", of("moved"), window("2024-01-01", "2025-12-31"))
	if err != nil {
		t.Fatal(err)
	}
	series, err := f.Series()
	if err != nil || len(series.Steps) != 3 || !series.Steps[1].Gap() || series.Steps[1].From != civil.Must("2024-06-01") {
		t.Fatalf("%v, %v", series, err)
	}
	if _, missing := f.Market.At(f.Basket, civil.Must("2024-07-01")); missing[0].Note != "priced in CAD, not in USD" {
		t.Errorf("%v", missing)
	}
	if _, _, err := s.ExplainCost(scoped(), company, "", of("moved"), window("2024-07-01", "2025-12-31")); fault.KindOf(err) != fault.Refused || !strings.Contains(err.Error(), "on 2024-07-01: priced in CAD, not in USD") {
		t.Errorf("%v", err)
	}
	risk := estimating.RiskWish{Risk: costindex.Risk{Every: costindex.Month}, Accepted: decimal.Ten, Tolerance: decimal.Two, Standing: 30}
	for _, c := range []struct{ item, from, to, told string }{
		{"moved", "2024-01-01", "2025-12-31", "moved"},
		{"still", "2024-01-01", "2025-12-31", "change"},
		{"still", "2025-12-20", "2025-12-31", ""},
	} {
		risk.Basket, risk.Window = of(c.item), window(c.from, c.to)
		if _, err := s.AssessCost(scoped(), company, "", risk); fault.KindOf(err) != fault.Invalid || !strings.Contains(err.Error(), c.told) {
			t.Errorf("%s from %s: %v", c.item, c.from, err)
		}
	}
}

// The same seed gives the same answer, another another; the caller's own history
// is what is drawn from.
func TestRiskIsReproducible(t *testing.T) {
	store := storetest.New(t)
	s := service(store)
	in := book.Import{Company: company, Mode: book.Patch}
	for m := range 36 {
		in.Entries = append(in.Entries, book.Entry{
			Item: "board", Office: book.MainOffice, Effective: civil.Date{Year: 2023 + m/12, Month: time.Month(1 + m%12), Day: 1},
			State: book.Priced, Currency: "USD", Unit: "each", Pack: decimal.One,
			Breaks: []book.Break{{Price: decimal.MustNew(int64(400+(m*37)%60), 2)}},
		})
	}
	mustImport(t, s, "boards", in)
	wish := estimating.RiskWish{
		Basket: estimating.CostBasket{Currency: "USD", Items: &basket.Basket{
			Fence: measure.Foot, Lines: []basket.Line{{Item: "board", Component: "boards", Unit: "each", Quantity: decimal.One}},
		}},
		Window: window("2023-01-01", "2025-12-31"), Risk: costindex.Risk{Every: costindex.Month, Seed: 7},
		Accepted: decimal.Ten, Tolerance: decimal.Two, Standing: 30, Backtest: true,
	}
	first, err := s.AssessCost(scoped(), company, "", wish)
	if err != nil {
		t.Fatal(err)
	}
	again, err := s.AssessCost(scoped(), company, "", wish)
	if err != nil {
		t.Fatal(err)
	}
	figures := func(r estimating.CostRisk) string {
		text := fmt.Sprint(r.Validity, r.Contingency, r.Coverage)
		for _, b := range r.Bands {
			text += fmt.Sprint(b.Days, b.P5, b.P20, b.P50, b.P80, b.P95)
		}
		return text
	}
	if figures(first) != figures(again) || len(first.Bands) != 3 || len(first.Coverage) == 0 {
		t.Errorf("%s\n%s", figures(first), figures(again))
	}
	wish.Risk.Seed = 8
	if other, err := s.AssessCost(scoped(), company, "", wish); err != nil || figures(other) == figures(first) {
		t.Errorf("another seed drew the same: %v", err)
	}
}
