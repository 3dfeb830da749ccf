package main

import (
	"context"
	"io"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newQuoteShow(r *remote) *cobra.Command {
	var format string
	cmd := &cobra.Command{
		Use:     "show NAME",
		Short:   "Show a stored quote",
		Long:    "Show a stored quote, by its full name or, with --company, by its id.",
		Example: `  wattle quote show companies/harrow/quotes/0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --format json`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.quoteName(cmd, args[0])
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := quotes(conn).GetQuote(ctx, &wattlev1.GetQuoteRequest{Name: name})
				if err != nil {
					return err
				}
				return printQuote(ctx, cmd.OutOrStdout(), conn, answer.GetQuote(), format)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the quote", asText, asJSON)
	return cmd
}

// printQuote writes the quote as JSON, or as the text that the service makes
// of it.
func printQuote(ctx context.Context, w io.Writer, conn *grpc.ClientConn, q *wattlev1.Quote, format string) error {
	if format == asJSON {
		return printMessage(w, q)
	}
	text, err := rendered(ctx, conn, q.GetName(), wattlev1.RenderQuoteRequest_FORMAT_QUOTE_TEXT)
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}

func rendered(ctx context.Context, conn *grpc.ClientConn, name string, format wattlev1.RenderQuoteRequest_Format) ([]byte, error) {
	answer, err := quotes(conn).RenderQuote(ctx, &wattlev1.RenderQuoteRequest{Name: name, Format: format})
	return answer.GetDocument().GetContent(), err
}
