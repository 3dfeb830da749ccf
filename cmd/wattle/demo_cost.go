package main

import (
	"context"
	"io"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/chart"
)

// followFoot says what the second list did to a foot of the fence.
func (d *demonstration) followFoot(ctx context.Context, job *wattlev1.CreateQuoteRequest) error {
	d.heading("What a foot of this fence is made of, then and now")
	answer, err := wattlev1.NewCostServiceClient(d.conn).ExplainChange(ctx, &wattlev1.ExplainChangeRequest{
		Parent: job.GetParent(),
		Basket: &wattlev1.CostBasket{
			Source:   &wattlev1.CostBasket_Reference{Reference: &wattlev1.ReferenceFence{Site: job.GetSite(), Spec: job.GetSpec(), CountedOn: job.GetAsOf()}},
			Currency: job.GetCurrency(),
		},
		Window: &wattlev1.CostWindow{From: job.GetAsOf(), To: laterDate},
	})
	if err != nil {
		return err
	}
	d.kept("movers.svg", "what moved the cost of a foot, the largest first", func(w io.Writer) error { return moversOf(answer).Draw(w, chart.SVG) })
	return printChange(d.w, answer, asText)
}
