package main

import (
	"context"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// renderFormats are a quote's documents by drawing and format.
var renderFormats = map[string]map[string]wattlev1.RenderQuoteRequest_Format{
	"": {
		asText: wattlev1.RenderQuoteRequest_FORMAT_QUOTE_TEXT,
		asCSV:  wattlev1.RenderQuoteRequest_FORMAT_TAKEOFF_CSV,
		asSVG:  wattlev1.RenderQuoteRequest_FORMAT_PLAN_SVG,
		asJSON: wattlev1.RenderQuoteRequest_FORMAT_CANONICAL_JSON,
	},
	drawPlan:      {asSVG: wattlev1.RenderQuoteRequest_FORMAT_PLAN_SVG},
	drawElevation: {asSVG: wattlev1.RenderQuoteRequest_FORMAT_ELEVATION_SVG},
	drawCrewSheet: {
		asText: wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_TEXT,
		asCSV:  wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_CSV,
		asSVG:  wattlev1.RenderQuoteRequest_FORMAT_CREW_SHEET_SVG,
	},
}

func newQuoteRender(r *remote) *cobra.Command {
	var d drawing
	var run string
	cmd := &cobra.Command{
		Use:   "render NAME",
		Short: "Write a document of a stored quote to standard output",
		Long: `Write a document of a stored quote to standard output: the quote as text, its
take-off as CSV, its plan as SVG, the canonical JSON that its fingerprint covers,
byte for byte, or a drawing.`,
		Example: `  wattle quote render companies/harrow/quotes/0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --format svg > plan.svg
  wattle quote render 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --company harrow --drawing elevation --run back > back.svg
  wattle quote render 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --company harrow --drawing crew-sheet`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := d.settle(cmd, run); err != nil {
				return err
			}
			name, err := r.quoteName(cmd, args[0])
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := quotes(conn).RenderQuote(ctx, &wattlev1.RenderQuoteRequest{
					Name: name, Format: renderFormats[d.kind][d.format], Paper: papers[d.paper], Run: run,
				})
				if err != nil {
					return err
				}
				_, err = cmd.OutOrStdout().Write(answer.GetDocument().GetContent())
				return err
			})
		},
	}
	d.flags(cmd, "which document", asText, asCSV, asSVG, asJSON)
	cmd.Flags().StringVar(&run, "run", "", "the `id` of the run whose elevation is drawn (default: the first)")
	return cmd
}
