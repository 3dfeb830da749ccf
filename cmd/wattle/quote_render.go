package main

import (
	"context"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

var renderFormats = map[string]wattlev1.RenderQuoteRequest_Format{
	asText: wattlev1.RenderQuoteRequest_FORMAT_QUOTE_TEXT,
	asCSV:  wattlev1.RenderQuoteRequest_FORMAT_TAKEOFF_CSV,
	asSVG:  wattlev1.RenderQuoteRequest_FORMAT_PLAN_SVG,
	asJSON: wattlev1.RenderQuoteRequest_FORMAT_CANONICAL_JSON,
}

func newQuoteRender(r *remote) *cobra.Command {
	var format string
	cmd := &cobra.Command{
		Use:   "render NAME",
		Short: "Write a document of a stored quote to standard output",
		Long: `Write a document of a stored quote to standard output: the quote as text, its
take-off as CSV, its plan as SVG, or the canonical JSON that its fingerprint
covers, byte for byte.`,
		Example: `  wattle quote render companies/harrow/quotes/0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --format svg > plan.svg`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.quoteName(cmd, args[0])
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				document, err := rendered(ctx, conn, name, renderFormats[format])
				if err != nil {
					return err
				}
				_, err = cmd.OutOrStdout().Write(document)
				return err
			})
		},
	}
	choose(cmd, &format, "format", asText, "which document", asText, asCSV, asSVG, asJSON)
	return cmd
}
