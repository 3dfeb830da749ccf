package main

import (
	"context"
	"io"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/render"
	"wattle/internal/rpc"
	"wattle/testdata/demo"
)

// advise prices other fences for the job's site, and looks for the cheapest way
// to build the one that was asked for.
func (d *demonstration) advise(ctx context.Context, job *wattlev1.CreateQuoteRequest) error {
	service := wattlev1.NewAdviceServiceClient(d.conn)

	d.heading("The same yard in five fences")
	list := &wattlev1.CompareOptionsRequest{}
	if err := decodeYAML("options.yaml", demo.Options, nil, list); err != nil {
		return err
	}
	list.Parent, list.Currency, list.AsOf = job.GetParent(), job.GetCurrency(), job.GetAsOf()
	list.Site, list.CustomLines, list.Pricing = job.GetSite(), job.GetCustomLines(), job.GetPricing()
	options, err := service.CompareOptions(ctx, list)
	if err != nil {
		return err
	}
	compared, err := rpc.OptionsFromProto(options)
	if err != nil {
		return err
	}
	if err := render.OptionsSummary(d.w, compared); err != nil {
		return err
	}
	d.kept("options.txt", "the fences above with their quantities and cautions", func(w io.Writer) error { return render.OptionsText(w, compared) })

	d.heading("Which bay, which method, which rails")
	found, err := service.Advise(ctx, &wattlev1.AdviseRequest{
		Parent: job.GetParent(), Currency: job.GetCurrency(), AsOf: job.GetAsOf(),
		Site: job.GetSite(), Spec: job.GetSpec(), CustomLines: job.GetCustomLines(), Pricing: job.GetPricing(), TableSize: 3,
	})
	if err != nil {
		return err
	}
	advice, err := rpc.AdviceFromProto(found)
	if err != nil {
		return err
	}
	return render.AdviceSummary(d.w, advice)
}
