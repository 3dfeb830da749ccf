package rpc

import (
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"

	wattlev1 "wattle/api/wattle/v1"
)

// without is a price list without some of its items.
func without(list string, items ...string) string {
	var b strings.Builder
	for line := range strings.Lines(list) {
		name, _, _ := strings.Cut(line, ",")
		keep := true
		for _, item := range items {
			keep = keep && name != item
		}
		if keep {
			b.WriteString(line)
		}
	}
	return b.String()
}

func TestRepriceQuote(t *testing.T) {
	o := openOffice(t, Config{}) // on 2026-03-05
	replace := func(h *wattlev1.ImportPricesRequest_Header) { h.Mode = wattlev1.ImportPricesRequest_MODE_REPLACE }
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97"), replace); err != nil {
		t.Fatal(err)
	}
	made := o.create(t, job("one"))
	same := o.reprice(t, &wattlev1.RepriceQuoteRequest{Name: made.GetName()})
	if len(same.GetLines()) != 0 || same.GetTotalDifference() != "0.00" || same.GetNow().GetAsOf() != "2026-03-05" ||
		same.GetSummary() != "The job costs the same at book revision 1 as at 1." {
		t.Errorf("nothing moved: %v", same)
	}

	if _, err := o.importList(t, "summer", market("2026-06-01", "16.97"), replace); err != nil {
		t.Fatal(err)
	}
	if again := o.reprice(t, &wattlev1.RepriceQuoteRequest{Name: made.GetName()}); again.GetTotalDifference() != "0.00" || again.GetNow().GetBookRevision() != 2 {
		t.Errorf("the new list does not hold today: %v", again)
	}
	june := o.reprice(t, &wattlev1.RepriceQuoteRequest{Name: made.GetName(), AsOf: "2026-06-15"})
	asked := job("two")
	asked.AsOf = "2026-06-15"
	made2 := o.create(t, asked)
	if june.GetNow().GetTotals().GetTotal() != made2.GetTotal() || june.GetThen().GetTotals().GetTotal() != made.GetTotal() {
		t.Errorf("from %v to %v, the quotes are %s and %s", june.GetThen(), june.GetNow(), made.GetTotal(), made2.GetTotal())
	}
	if l := june.GetLines(); len(l) != 1 || l[0].GetItem() != "post-4x4-8ft" || l[0].GetPriceEffect() != june.GetCostDifference() ||
		june.GetPriceEffect() != june.GetCostDifference() || l[0].GetRulesEffect() != "0.00" || june.GetSubstitutionEffect() != "0.00" {
		t.Errorf("the list moved the 8 ft post, and nothing else: %v", june)
	}
	if want := "The job costs " + june.GetCostDifference() + " USD more on 2026-06-15 than on 2026-03-05: prices +" + june.GetCostDifference() + "."; june.GetSummary() != want {
		t.Errorf("%s\nwant %s", june.GetSummary(), want)
	}
	first := int64(1)
	before := o.reprice(t, &wattlev1.RepriceQuoteRequest{Name: made.GetName(), AsOf: "2026-06-15", Revision: &first})
	if before.GetTotalDifference() != "0.00" || before.GetNow().GetBookRevision() != 1 {
		t.Errorf("as known before the list: %v", before)
	}

	list, err := o.quotes.ListQuotes(t.Context(), &wattlev1.ListQuotesRequest{Parent: "companies/harrow"})
	if err != nil || len(list.GetQuotes()) != 2 {
		t.Errorf("%d quotes stored, %v", len(list.GetQuotes()), err)
	}
}

func (o shop) reprice(t *testing.T, request *wattlev1.RepriceQuoteRequest) *wattlev1.RepriceQuoteResponse {
	t.Helper()
	answer, err := o.quotes.RepriceQuote(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	return answer
}

func TestRepriceQuoteRefuses(t *testing.T) {
	o := openOffice(t, Config{})
	replace := func(h *wattlev1.ImportPricesRequest_Header) { h.Mode = wattlev1.ImportPricesRequest_MODE_REPLACE }
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97"), replace); err != nil {
		t.Fatal(err)
	}
	made := o.create(t, job("one"))
	if _, err := o.importList(t, "fewer", without(market("2026-03-02", "14.97"), "gravel", "gate-latch"), replace); err != nil {
		t.Fatal(err)
	}
	_, err := o.quotes.RepriceQuote(t.Context(), &wattlev1.RepriceQuoteRequest{Name: made.GetName()})
	st := wants(t, err, codes.FailedPrecondition, "PRICES_MISSING")
	got := detail[*errdetails.BadRequest](st).GetFieldViolations()
	if len(got) != 2 || got[0].GetField() != "prices[gate-latch]" || got[1].GetField() != "prices[gravel]" ||
		!strings.HasPrefix(got[0].GetDescription(), "withdrawn from ") {
		t.Errorf("items that are gone: %v", got)
	}

	nine := int64(9)
	for _, c := range []struct {
		request *wattlev1.RepriceQuoteRequest
		code    codes.Code
		reason  string
	}{
		{&wattlev1.RepriceQuoteRequest{Name: made.GetName(), AsOf: "June"}, codes.InvalidArgument, "INVALID_REQUEST"},
		{&wattlev1.RepriceQuoteRequest{Name: made.GetName(), Revision: &nine}, codes.InvalidArgument, "REVISION_UNKNOWN"},
		{&wattlev1.RepriceQuoteRequest{Name: made.GetName(), AsOf: "2020-01-01"}, codes.FailedPrecondition, "PRICES_MISSING"},
		{&wattlev1.RepriceQuoteRequest{Name: "companies/harrow/quotes/none"}, codes.NotFound, "QUOTE_NOT_FOUND"},
		{&wattlev1.RepriceQuoteRequest{Name: "quotes/none"}, codes.InvalidArgument, "INVALID_REQUEST"},
	} {
		_, err := o.quotes.RepriceQuote(t.Context(), c.request)
		wants(t, err, c.code, c.reason)
	}
}
