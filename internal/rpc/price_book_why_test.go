package rpc

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
)

const severalSuppliers = `item,effective,supplier,unit,price,currency,min_quantity
gravel,2026-01-01,Acre,ft3,2.20,USD,0
gravel,2026-03-01,Acre,ft3,2.10,USD,0
gravel,2026-03-01,Acre,ft3,1.90,USD,100
gravel,2026-03-01,Birch,yd3,54.00,USD,0
gravel,2026-03-01,Cedar,bag,4.00,USD,0
gravel,2026-09-01,Birch,yd3,60.00,USD,0
cap-4x4,2026-06-01,Acre,each,2.15,USD,0
`

func TestResolvePricesSaysWhy(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "march", severalSuppliers); err != nil {
		t.Fatal(err)
	}
	ask := &wattlev1.ResolvePricesRequest{
		Parent: "companies/harrow", Items: []string{"gravel", "cap-4x4", "never"}, AsOf: "2026-03-15", Currency: "USD", Explain: true,
		Orders: []*wattlev1.PriceOrder{{Item: "gravel", Quantity: "12", Unit: "ft3"}},
	}
	for _, c := range []struct {
		change func()
		winner string
		why    []string
	}{
		{func() {}, "Birch 54.00 from 0: 2.00 per ft3", []string{
			"SUPERSEDED Acre: Superseded by the entry that holds from 2026-03-01, learned in revision 1.",
			"DEARER_SUPPLIER Acre: 2.10 USD per ft3 is more than 2 USD per ft3 (54.00 per yd3) of Birch.",
			"WON Birch: 2 USD per ft3 (54.00 per yd3) is what Birch asks: the lowest of 2 prices.",
			"NOT_YET_EFFECTIVE Birch: Holds from 2026-09-01, after the date asked for, 2026-03-15.",
			"UNIT_NOT_CONVERTIBLE Cedar: Priced per bag, which is no fixed number of ft3.",
		}},
		{func() { ask.Orders[0].Quantity = "100" }, "Acre 1.90 from 100: 1.90 per ft3", nil},
		{func() { ask.Orders[0].Unit, ask.Orders[0].Quantity = "m3", "1" }, "Birch 54.00 from 0: 70.629333443 per m3", nil},
		{func() { ask.PreferredSuppliers = []string{"Cedar", "Acre"}; ask.Orders[0].Unit = "ft3" }, "Acre 2.10 from 0: 2.10 per ft3", []string{
			"NOT_PREFERRED Birch: 2 USD per ft3 (54.00 per yd3), but Acre is preferred."}},
		{func() { ask.Orders[0].Unit = "bag" }, "Cedar 4.00 from 0: 4.00 per bag", nil},
		{func() { ask.Orders[0].Unit = "lb" }, "", nil},
	} {
		c.change()
		answer, err := o.prices.ResolvePrices(t.Context(), ask)
		if err != nil {
			t.Fatal(err)
		}
		p := answer.GetPrices()[0]
		winner := ""
		if w := p.GetWinner(); w != nil {
			winner = fmt.Sprintf("%s %s from %s: %s per %s", w.GetSupplier(), w.GetBreak().GetPrice(), w.GetBreak().GetMinQuantity(), w.GetPrice(), w.GetUnit())
		}
		if winner != c.winner || len(p.GetConsidered()) != 5 {
			t.Errorf("won %q, want %q; %d considered", winner, c.winner, len(p.GetConsidered()))
		}
		var why []string
		for _, x := range p.GetConsidered() {
			why = append(why, strings.TrimPrefix(x.GetReason().String(), "REASON_")+" "+x.GetEntry().GetSupplier()+": "+x.GetText())
		}
		for _, want := range c.why {
			if !slices.Contains(why, want) {
				t.Errorf("want %q in\n%s", want, strings.Join(why, "\n"))
			}
		}
		if later := answer.GetPrices()[1]; later.GetWinner() != nil || later.GetNote() != "first price from 2026-06-01" || len(later.GetConsidered()) != 1 {
			t.Errorf("cap-4x4: %v", later)
		}
		if never := answer.GetPrices()[2]; never.GetNote() != "unknown item" || len(never.GetConsidered()) != 0 {
			t.Errorf("never: %v", never)
		}
	}
	ask.Explain = false
	answer, err := o.prices.ResolvePrices(t.Context(), ask)
	if err != nil || len(answer.GetPrices()[0].GetConsidered()) != 0 || len(answer.GetPrices()[0].GetOffers()) != 3 {
		t.Errorf("without reasons: %v, %v", answer, err)
	}
	ask.Orders = []*wattlev1.PriceOrder{{Item: "post"}, {Item: "gravel", Quantity: "-1"}, {Item: "gravel", Quantity: "much"}}
	_, err = o.prices.ResolvePrices(t.Context(), ask)
	got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST"))
	for _, field := range []string{"orders[0].item: ", "orders[1].quantity: ", "orders[2].item: ", "orders[2].quantity: "} {
		if !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, field) }) {
			t.Errorf("no %s in %q", field, got)
		}
	}
}

func TestEveryReasonAndProblemHasItsWord(t *testing.T) {
	for _, r := range book.Reasons() {
		if reasons.wire[r] == wattlev1.ConsideredEntry_REASON_UNSPECIFIED {
			t.Errorf("reason %s has no word in the contract", r)
		}
	}
	for _, k := range book.ProblemKinds() {
		if problemKinds.wire[k] == wattlev1.VerifyHistoryResponse_Problem_KIND_UNSPECIFIED {
			t.Errorf("problem %s has no word in the contract", k)
		}
	}
}

func TestVerifyHistoryStreams(t *testing.T) {
	o := openOffice(t, Config{})
	first, err := o.importList(t, "march", market("2026-03-01", "14.97"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := o.importList(t, "april", market("2026-04-01", "16.20")); err != nil {
		t.Fatal(err)
	}
	o.create(t, job("one"))
	verify := func(expected ...*wattlev1.ExpectedHead) (report *wattlev1.VerifyHistoryResponse_Report, steps int, err error) {
		stream, err := o.prices.VerifyHistory(t.Context(), &wattlev1.VerifyHistoryRequest{Parent: "companies/harrow", Expected: expected})
		if err != nil {
			return nil, 0, err
		}
		for {
			part, err := stream.Recv()
			if errors.Is(err, io.EOF) {
				return report, steps, nil
			}
			if err != nil {
				return nil, 0, err
			}
			if report != nil {
				t.Error("a message after the report")
			}
			if report = part.GetReport(); report == nil {
				steps++
			}
		}
	}
	report, steps, err := verify(&wattlev1.ExpectedHead{Revision: 1, Hash: strings.ToUpper(first.GetHeadHash())})
	if err != nil || !report.GetIntact() || report.GetRevision() != 2 || report.GetEntries() != 44 || report.GetQuotes() != 1 || steps == 0 {
		t.Errorf("%v, %d steps, %v", report, steps, err)
	}
	report, _, err = verify(&wattlev1.ExpectedHead{Revision: 2, Hash: first.GetHeadHash()})
	if err != nil || report.GetIntact() || report.GetFirstBadRevision() != 2 || report.GetProblems()[0].GetKind() != wattlev1.VerifyHistoryResponse_Problem_KIND_EXPECTED {
		t.Errorf("%v, %v", report, err)
	}
	_, _, err = verify(&wattlev1.ExpectedHead{Revision: -1, Hash: "5f1c"})
	if got := describe(wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")); len(got) != 2 {
		t.Errorf("%q", got)
	}
}

// What the caller asks of suppliers and of age is stored with the quote, and its
// defaults are filled.
func TestQuoteKeepsHowItBuys(t *testing.T) {
	o := openOffice(t, Config{})
	list := market("2025-03-01", "14.97") + "gravel,2026-03-01,yd3,20.00,USD\n"
	list = strings.Replace(strings.ReplaceAll(list, ",USD\n", ",USD,Acre\n"), "price,currency", "price,currency,supplier", 1)
	list = strings.Replace(list, "20.00,USD,Acre", "20.00,USD,Birch", 1)
	if _, err := o.importList(t, "march", list); err != nil {
		t.Fatal(err)
	}
	cautions := func(q *wattlev1.Quote) string {
		for _, c := range q.GetCautions() {
			if c.GetCode() == "prices-stale" {
				return c.GetText()
			}
		}
		return ""
	}
	gravel := func(q *wattlev1.Quote) string {
		i := slices.IndexFunc(q.GetLines(), func(l *wattlev1.QuoteLine) bool { return l.GetItem() == "gravel" })
		return q.GetLines()[i].GetUnit() + " of " + q.GetLines()[i].GetSupplier()
	}
	plain := o.create(t, job("plain"))
	if days := plain.GetPricing().GetStaleAfterDays(); days != 180 || !strings.Contains(cautions(plain), "more than 180 days old on 2026-03-05: from 2025-03-01 (") || gravel(plain) != "yd3 of Birch" {
		t.Errorf("%d days, %q, %s", days, cautions(plain), gravel(plain))
	}
	ask := job("preferred")
	ask.Pricing.PreferredSuppliers, ask.Pricing.StaleAfterDays = []string{"Acre"}, new(int32(0))
	q := o.create(t, ask)
	if gravel(q) != "ft3 of Acre" || cautions(q) != "" || !slices.Equal(q.GetPricing().GetPreferredSuppliers(), []string{"Acre"}) || q.GetPricing().StaleAfterDays == nil {
		t.Errorf("%s, %q, %v", gravel(q), cautions(q), q.GetPricing())
	}
	for _, name := range []string{plain.GetName(), q.GetName()} {
		replay, err := o.quotes.ReplayQuote(t.Context(), &wattlev1.ReplayQuoteRequest{Name: name})
		if err != nil || !replay.GetIdentical() {
			t.Errorf("%s: %v, %v", name, replay, err)
		}
	}
}
