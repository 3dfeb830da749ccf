package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newQuoteCreate(r *remote) *cobra.Command {
	var format, requestID, asOf, optionOf, changes string
	var revision int64
	var s survey
	cmd := &cobra.Command{
		Use:   "create FILE",
		Short: "Lay out, count and price a job, and store the quote",
		Long: `Lay out, count and price a job, and store the quote. The request id makes a
repeated call safe: the same id with the same job gets the same quote.

` + jobHelp + `

` + surveyHelp,
		Example: `  wattle quote create job.yaml --company harrow
  wattle quote create job.yaml --company harrow --as-of 2026-09-15 --request-id crm-4711
  wattle quote create pine.yaml --company harrow --option-of 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := s.named(cmd); err != nil {
				return err
			}
			job, err := s.read(cmd, args[0])
			if err != nil {
				return err
			}
			if r.company != "" || job.GetParent() == "" {
				if job.Parent, err = r.parent(cmd); err != nil {
					return err
				}
			}
			r.reads(job.GetParent())
			if requestID != "" {
				job.RequestId = requestID
			}
			if job.GetRequestId() == "" {
				job.RequestId = newRequestID()
			}
			if asOf != "" {
				job.AsOf = asOf
			}
			if cmd.Flags().Changed("revision") {
				job.Revision = &revision
			}
			for _, other := range []struct {
				name string
				to   *string
			}{{optionOf, &job.OptionOf}, {changes, &job.ChangesQuote}} {
				if other.name == "" {
					continue
				}
				if *other.to, err = r.quoteName(cmd, other.name); err != nil {
					return err
				}
			}
			job.View = wattlev1.QuoteView_QUOTE_VIEW_FULL
			fmt.Fprintln(cmd.ErrOrStderr(), "request id", job.GetRequestId())
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := quotes(conn).CreateQuote(ctx, job)
				if err != nil {
					return err
				}
				if err := printQuote(ctx, cmd.OutOrStdout(), conn, answer.GetQuote(), format); err != nil || format == asJSON {
					return err
				}
				return printClosures(cmd.OutOrStdout(), answer.GetClosures())
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the quote", asText, asJSON)
	s.flags(cmd, runHelp)
	cmd.Flags().StringVar(&requestID, "request-id", "", "makes a repeated call safe (default: the file's, else a fresh one, which is printed)")
	cmd.Flags().StringVar(&asOf, "as-of", "", "the date the prices hold for, as 2026-03-01 (default: the file's, else today)")
	cmd.Flags().StringVar(&optionOf, "option-of", "", "offer it beside this draft or issued `quote`")
	cmd.Flags().StringVar(&changes, "changes", "", "a change order to this accepted `quote`")
	cmd.Flags().Int64Var(&revision, "revision", 0, "the book revision to price from (default: the file's, else the newest)")
	return cmd
}
