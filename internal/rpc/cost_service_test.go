package rpc

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"

	wattlev1 "wattle/api/wattle/v1"
)

func track(t *testing.T, o shop, req *wattlev1.TrackCostPerFootRequest) (header *wattlev1.CostHeader, steps []*wattlev1.CostStep, samples []*wattlev1.CostSample, err error) {
	t.Helper()
	stream, err := wattlev1.NewCostServiceClient(o.conn).TrackCostPerFoot(t.Context(), req)
	if err != nil {
		t.Fatal(err)
	}
	for {
		m, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return header, steps, samples, nil
		} else if err != nil {
			return header, steps, samples, err
		}
		if m.GetHeader() != nil {
			header = m.GetHeader()
		}
		steps = append(steps, m.GetSteps().GetSteps()...)
		samples = append(samples, m.GetSamples().GetSamples()...)
	}
}

func yardFollowed() *wattlev1.TrackCostPerFootRequest {
	return &wattlev1.TrackCostPerFootRequest{
		Parent: "companies/harrow",
		Basket: &wattlev1.CostBasket{
			Source:   &wattlev1.CostBasket_Reference{Reference: &wattlev1.ReferenceFence{Site: yard().GetSite(), Spec: yard().GetSpec()}},
			Currency: "USD",
		},
		Window: &wattlev1.CostWindow{From: "2026-02-01", To: "2026-03-31"},
	}
}

func sumOf(t *testing.T, texts []string) (sum decimal.Decimal) {
	t.Helper()
	for _, text := range texts {
		d, err := decimal.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		if sum, err = sum.Add(d); err != nil {
			t.Fatal(err)
		}
	}
	return sum
}

// A fence followed over time costs on each day what a quote of that day says; a
// day without a price is a gap that names it; components add up.
func TestTrackCostPerFoot(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "february", market("2026-02-10", "14.97")); err != nil {
		t.Fatal(err)
	}
	if _, err := o.importList(t, "march", market("2026-03-02", "16.97")); err != nil {
		t.Fatal(err)
	}
	header, steps, _, err := track(t, o, yardFollowed())
	if err != nil {
		t.Fatal(err)
	}
	if header.GetOffice() != "main" || header.GetRevision() != 2 || header.GetCountedOn() != "2026-03-31" || strings.Join(header.GetComponents(), " ") != "posts rails boards concrete gravel fasteners caps gates" {
		t.Errorf("header %v", header)
	}
	if len(steps) != 3 || steps[0].GetFrom() != "2026-02-01" || steps[1].GetFrom() != "2026-02-10" || steps[2].GetFrom() != "2026-03-02" {
		t.Fatalf("steps %v", steps)
	}
	if gap := steps[0]; gap.CostPerFoot != nil || len(gap.GetComponents()) > 0 || len(gap.GetMissing()) != len(header.GetLines()) || gap.GetMissing()[0].GetNote() != "first price from 2026-02-10" {
		t.Errorf("the gap: %v", gap)
	}
	for i, asOf := range []string{"2026-02-20", "2026-03-05"} {
		step := steps[i+1]
		if sum := sumOf(t, step.GetComponents()); sum.String() != step.GetCostPerFoot() {
			t.Errorf("components come to %v, the whole to %s", sum, step.GetCostPerFoot())
		}
		wish := job("as-of-" + asOf)
		wish.AsOf = asOf
		q := o.create(t, wish)
		if got, want := step.GetCostPerFoot(), q.GetPerFoot().GetMaterialNet(); got != want {
			t.Errorf("on %s a foot costs %s, a quote says %s", asOf, got, want)
		}
	}

	sampled := yardFollowed()
	sampled.Every = wattlev1.CostEvery_COST_EVERY_MONTH
	_, _, samples, err := track(t, o, sampled)
	if err != nil || len(samples) != 2 {
		t.Fatalf("%v, %v", samples, err)
	}
	if feb := samples[0]; feb.GetDays() != 28 || feb.GetDaysKnown() != 19 || feb.GetMeanPerFoot() != steps[1].GetCostPerFoot() || len(feb.GetMissingItems()) == 0 {
		t.Errorf("February: %v", feb)
	}
}

// What is known now of a day, and what was known on it: a list of March that says
// what held in February changes the one and not the other.
func TestTrackAsKnownThen(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "february", market("2026-02-10", "14.97")); err != nil {
		t.Fatal(err)
	}
	req := yardFollowed()
	req.Window.Known = wattlev1.CostWindow_KNOWN_THEN
	// Lists come in today, long after these days: on none of them was a price known.
	_, steps, _, err := track(t, o, req)
	if err != nil || len(steps) != 1 || steps[0].CostPerFoot != nil || steps[0].GetMissing()[0].GetNote() != "unknown item" {
		t.Errorf("%v, %v", steps, err)
	}
	req.Window.Known = wattlev1.CostWindow_KNOWN_NOW
	req.Window.Revision = new(int64(0))
	if _, _, _, err := track(t, o, req); err == nil {
		t.Error("the empty book has a price")
	}
}

func TestTrackRefuses(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "february", market("2026-02-10", "14.97")); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		change func(*wattlev1.TrackCostPerFootRequest)
		code   codes.Code
		reason string
		told   []string
	}{
		{func(r *wattlev1.TrackCostPerFootRequest) { r.Window.From = "2026-05-01" }, codes.InvalidArgument, "INVALID_REQUEST", []string{"window.from: expected a day not after the last, 2026-03-31, found 2026-05-01"}},
		{func(r *wattlev1.TrackCostPerFootRequest) { r.Window.From = "1999-05-01" }, codes.InvalidArgument, "INVALID_REQUEST", []string{"window.from: expected at most 20 years before"}},
		{func(r *wattlev1.TrackCostPerFootRequest) {
			r.Window.From, r.GetBasket().GetReference().Spec = "May", &wattlev1.Spec{Height: "tall"}
		}, codes.InvalidArgument, "INVALID_REQUEST", []string{"window.from: ", "basket.reference.spec.height: "}},
		{func(r *wattlev1.TrackCostPerFootRequest) { r.GetBasket().GetReference().GetSpec().Height = "90 ft" }, codes.InvalidArgument, "INVALID_REQUEST", []string{"basket.reference.spec.posts.stock: ", "basket.reference.spec.rails.count: "}},
		{func(r *wattlev1.TrackCostPerFootRequest) { r.Basket.Currency = "CAD" }, codes.FailedPrecondition, "PRICES_MISSING", []string{"priced in USD, not in CAD"}},
		{func(r *wattlev1.TrackCostPerFootRequest) { r.Offices = []string{"nowhere"} }, codes.PermissionDenied, "OFFICE_NOT_YOURS", nil},
		{func(r *wattlev1.TrackCostPerFootRequest) {
			r.Basket.Source = &wattlev1.CostBasket_Items{Items: &wattlev1.BasketItems{Items: []*wattlev1.BasketItem{{Item: "gravel", Quantity: "-1"}, {Item: "gravel", Quantity: "0"}}}}
		}, codes.InvalidArgument, "INVALID_REQUEST", []string{"basket.items.items[0].quantity: expected a number over zero", "basket.items.items[1].item: \"gravel\" stands in items[0] too"}},
		{func(r *wattlev1.TrackCostPerFootRequest) {
			r.Basket.Source = &wattlev1.CostBasket_Quotes{Quotes: &wattlev1.QuoteMix{}}
		}, codes.FailedPrecondition, "BASKET_EMPTY", nil},
	} {
		req := yardFollowed()
		c.change(req)
		_, _, _, err := track(t, o, req)
		st := wants(t, err, c.code, c.reason)
		all := st.Message()
		for _, violation := range detail[*errdetails.BadRequest](st).GetFieldViolations() {
			all += "\n" + violation.GetField() + ": " + violation.GetDescription()
		}
		for _, told := range c.told {
			if !strings.Contains(all, told) {
				t.Errorf("%s does not tell %q", all, told)
			}
		}
	}
}

// What the company quoted, and what moved it.
func TestExplainChangeOfTheQuoteMix(t *testing.T) {
	o := openOffice(t, Config{})
	if _, err := o.importList(t, "february", market("2026-02-10", "14.97")); err != nil {
		t.Fatal(err)
	}
	if _, err := o.importList(t, "march", market("2026-03-02", "16.97")); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		o.create(t, job(fmt.Sprint("job-", i)))
	}
	answer, err := wattlev1.NewCostServiceClient(o.conn).ExplainChange(t.Context(), &wattlev1.ExplainChangeRequest{
		Parent: "companies/harrow",
		Basket: &wattlev1.CostBasket{
			Source:   &wattlev1.CostBasket_Quotes{Quotes: &wattlev1.QuoteMix{States: []wattlev1.QuoteState{wattlev1.QuoteState_QUOTE_STATE_DRAFT}}},
			Currency: "USD", Scope: wattlev1.CostScope_COST_SCOPE_TOTAL,
		},
		Window: &wattlev1.CostWindow{From: "2026-02-20", To: "2026-03-05"},
	})
	if err != nil {
		t.Fatal(err)
	}
	posts := answer.GetMovers()[0]
	if answer.GetHeader().GetQuotes() != 3 || len(answer.GetMovers()) != 1 || posts.GetItem() != "post-4x4-8ft" || posts.GetPriceFrom() != "14.97" || posts.GetPriceTo() != "16.97" || posts.GetSharePercent() != "100.0" {
		t.Errorf("movers %v of %d quotes", answer.GetMovers(), answer.GetHeader().GetQuotes())
	}
	var parts []string
	for _, p := range answer.GetParts() {
		parts = append(parts, p.GetDifference().GetPerFoot())
	}
	if sum := sumOf(t, parts); sum.String() != answer.GetDifference().GetPerFoot() {
		t.Errorf("the parts come to %v, the whole to %v", sum, answer.GetDifference())
	}
	if !strings.Contains(answer.GetText(), "posts +"+answer.GetDifference().GetPerFoot()) || !strings.Contains(posts.GetText(), "14.97") {
		t.Errorf("%s / %s", answer.GetText(), posts.GetText())
	}
}

// Index numbers of a table, checked by hand (package costindex checks published
// ones), of a basket, and of quotes month by month.
func TestComputeIndex(t *testing.T) {
	o := openOffice(t, Config{})
	costs := wattlev1.NewCostServiceClient(o.conn)
	table := &wattlev1.IndexTable{Goods: []string{"posts", "boards"}, Rows: []*wattlev1.IndexTableRow{
		{Label: "2025", Prices: []string{"10", "2"}, Quantities: []string{"30", "100"}},
		{Label: "2026", Prices: []string{"11", "3"}, Quantities: []string{"40", "80"}},
	}}
	answer, err := costs.ComputeIndex(t.Context(), &wattlev1.ComputeIndexRequest{Parent: "companies/harrow", Source: &wattlev1.ComputeIndexRequest_Table{Table: table}})
	if err != nil || len(answer.GetSeries()) != 5 {
		t.Fatalf("%v, %v", answer, err)
	}
	// By hand: 630 / 500, 680 / 560, and their root.
	for i, want := range []string{"126.000000", "121.428571", "123.693169"} {
		if s := answer.GetSeries()[i]; s.GetValues()[0] != "100.000000" || s.GetValues()[1] != want {
			t.Errorf("%v: want %s", s, want)
		}
	}
	table.Rows[1].Prices[1] = "0"
	table.Rows[0].Quantities = []string{"30"}
	_, err = costs.ComputeIndex(t.Context(), &wattlev1.ComputeIndexRequest{Parent: "companies/harrow", Source: &wattlev1.ComputeIndexRequest_Table{Table: table}})
	wants(t, err, codes.InvalidArgument, "INVALID_REQUEST")

	// Of one item, every formula says what its price did.
	if _, err := o.importList(t, "january", market("2026-01-01", "10.00")); err != nil {
		t.Fatal(err)
	}
	if _, err := o.importList(t, "march", market("2026-02-10", "11.00")); err != nil {
		t.Fatal(err)
	}
	posts := &wattlev1.CostBasket{Currency: "USD", Source: &wattlev1.CostBasket_Items{Items: &wattlev1.BasketItems{
		Items: []*wattlev1.BasketItem{{Item: "post-4x4-8ft", Quantity: "7"}}}}}
	answer, err = costs.ComputeIndex(t.Context(), &wattlev1.ComputeIndexRequest{
		Parent: "companies/harrow", Source: &wattlev1.ComputeIndexRequest_Basket{Basket: posts}, Chained: true,
		Window: &wattlev1.CostWindow{From: "2026-01-01", To: "2026-03-15"},
	})
	if err != nil || len(answer.GetPeriods()) != 2 || answer.GetPeriods()[1].GetLabel() != "2026-02" {
		t.Fatalf("%v, %v", answer.GetPeriods(), err)
	}
	for _, s := range answer.GetSeries() {
		if s.GetValues()[1] != "110.000000" {
			t.Errorf("%v", s)
		}
	}
	_, err = costs.ComputeIndex(t.Context(), &wattlev1.ComputeIndexRequest{
		Parent: "companies/harrow", Window: &wattlev1.CostWindow{From: "2026-01-01", To: "2026-03-31"},
		Source: &wattlev1.ComputeIndexRequest_Quotes{Quotes: &wattlev1.ComputeIndexRequest_QuotesByPeriod{Mix: &wattlev1.QuoteMix{}, Currency: "USD"}},
	})
	wants(t, err, codes.FailedPrecondition, "BASKET_EMPTY") // nothing was accepted
}
