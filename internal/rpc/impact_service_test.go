package rpc

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/book"
	"wattle/internal/postgres/storetest"
)

// workImpact does what the workers do for a revision, in at most three chunks.
func (o shop) workImpact(t *testing.T, r book.Revision) {
	t.Helper()
	ctx := storetest.Context("harrow")
	at := time.Date(2026, 3, 5, 12, 0, 0, 0, time.UTC)
	for chunk := range 3 {
		if err := o.use.AdvanceImpact(ctx, "harrow", r, at); err != nil {
			t.Fatal(err)
		}
		sum, err := o.use.PriceImpact(ctx, "harrow", &r)
		if err != nil {
			t.Fatal(err)
		}
		if !sum.DoneAt.IsZero() {
			return
		}
		if err := o.use.WorkImpact(ctx, "harrow", r, chunk+1, at); err != nil {
			t.Fatal(err)
		}
	}
	t.Fatalf("revision %d is not done", r)
}

func TestPriceImpactsOverTheWire(t *testing.T) {
	o := openOffice(t, Config{})
	impacts := wattlev1.NewImpactServiceClient(o.conn)
	if _, err := o.importList(t, "march", market("2026-03-01", "14.97")); err != nil {
		t.Fatal(err)
	}
	var quotes []*wattlev1.Quote
	for i := range 3 {
		quotes = append(quotes, o.create(t, job(fmt.Sprint("job-", i))))
	}
	if _, err := o.importList(t, "dearer", market("2026-03-02", "16.97")); err != nil {
		t.Fatal(err)
	}
	_, err := impacts.GetPriceImpact(t.Context(), &wattlev1.GetPriceImpactRequest{Parent: "companies/harrow"})
	wants(t, err, codes.NotFound, "IMPACT_NOT_FOUND")
	o.workImpact(t, 2)

	answer, err := impacts.GetPriceImpact(t.Context(), &wattlev1.GetPriceImpactRequest{Parent: "companies/harrow"})
	if err != nil {
		t.Fatal(err)
	}
	sum := answer.GetSummary()
	again := o.reprice(t, &wattlev1.RepriceQuoteRequest{Name: quotes[0].GetName()})
	if sum.GetRevision() != 2 || sum.GetAsOf() != "2026-03-05" || sum.GetDoneTime() == nil || sum.GetMovedQuotes() != 3 || sum.GetLostQuotes() != 0 ||
		len(sum.GetSums()) != 1 || sum.GetSums()[0].GetCurrency() != "USD" || sum.GetSums()[0].GetQuotes() != 3 || len(sum.GetMissingItems()) != 0 {
		t.Errorf("summary: %v", sum)
	}
	var seen []string
	request := &wattlev1.ListPriceImpactsRequest{Parent: "companies/harrow", Revision: 2, PageSize: 2}
	for {
		page, err := impacts.ListPriceImpacts(t.Context(), request)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range page.GetImpacts() {
			seen = append(seen, i.GetQuote())
			if i.GetThen().GetCost() != again.GetThen().GetTotals().GetCost() || i.GetNow().GetTotal() != again.GetNow().GetTotals().GetTotal() ||
				i.GetDifference().GetCost() != again.GetCostDifference() || i.GetDifference().GetTotal() != again.GetTotalDifference() || i.GetReason() != "" {
				t.Errorf("%v, priced again %v", i, again)
			}
		}
		if request.PageToken = page.GetNextPageToken(); request.GetPageToken() == "" {
			break
		}
	}
	if want := fmt.Sprint([]string{quotes[0].GetName(), quotes[1].GetName(), quotes[2].GetName()}); fmt.Sprint(seen) != want {
		t.Errorf("%v, want %s", seen, want)
	}

	replace := func(h *wattlev1.ImportPricesRequest_Header) { h.Mode = wattlev1.ImportPricesRequest_MODE_REPLACE }
	if _, err := o.importList(t, "fewer", without(market("2026-03-03", "16.97"), "gravel", "gate-latch"), replace); err != nil {
		t.Fatal(err)
	}
	o.workImpact(t, 3)
	page, err := impacts.ListPriceImpacts(t.Context(), &wattlev1.ListPriceImpactsRequest{Parent: "companies/harrow", Revision: 3})
	if err != nil || len(page.GetImpacts()) != 3 {
		t.Fatalf("withdrawn: %v, %v", page, err)
	}
	if i := page.GetImpacts()[0]; i.GetReason() != "PRICES_MISSING" || strings.Join(i.GetMissingItems(), " ") != "gate-latch gravel" || i.GetNow() != nil || i.GetDifference() != nil || i.GetThen() == nil {
		t.Errorf("withdrawn: %v", i)
	}
	last, err := impacts.GetPriceImpact(t.Context(), &wattlev1.GetPriceImpactRequest{Parent: "companies/harrow"})
	if s := last.GetSummary(); err != nil || s.GetLostQuotes() != 3 || len(s.GetMissingItems()) != 2 || s.GetMissingItems()[0].GetItem() != "gate-latch" || s.GetMissingItems()[0].GetQuotes() != 3 {
		t.Errorf("withdrawn: %v, %v", last, err)
	}

	unknown := int64(9)
	_, err = impacts.GetPriceImpact(t.Context(), &wattlev1.GetPriceImpactRequest{Parent: "companies/harrow", Revision: &unknown})
	wants(t, err, codes.InvalidArgument, "REVISION_UNKNOWN")
	_, err = impacts.ListPriceImpacts(t.Context(), &wattlev1.ListPriceImpactsRequest{Parent: "companies/harrow"})
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
	_, err = impacts.ListPriceImpacts(t.Context(), &wattlev1.ListPriceImpactsRequest{Parent: "companies/harrow", Revision: 2, PageToken: "x"})
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")
}
