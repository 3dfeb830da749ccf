package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newQuoteRevise(r *remote) *cobra.Command {
	var format, requestID, etag, asOf, validUntil string
	cmd := &cobra.Command{
		Use:   "revise NAME [FILE]",
		Short: "Make the next revision of a quote, at the prices of today",
		Long: `Make the next revision of a quote, a draft at the prices of today. The quote it
revises, where it was a draft or issued, is void from then on.

A job file gives what is another now: of its site, spec, custom lines, pricing and
external reference, those that it has. Without one it is the same job.`,
		Example: `  wattle quote revise --company harrow 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41
  wattle quote revise --company harrow 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 job.yaml --valid-until 2026-06-30`,
		Args: takes(cobra.RangeArgs(1, 2)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.quoteName(cmd, args[0])
			if err != nil {
				return err
			}
			request := &wattlev1.ReviseQuoteRequest{
				Name: name, RequestId: requestID, Etag: etag, AsOf: asOf, ValidUntil: validUntil, View: wattlev1.QuoteView_QUOTE_VIEW_FULL,
			}
			if requestID == "" {
				request.RequestId = newRequestID()
			}
			if len(args) == 2 {
				if err := revisedBy(cmd, request, args[1]); err != nil {
					return err
				}
			}
			fmt.Fprintln(cmd.ErrOrStderr(), "request id", request.GetRequestId())
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := quotes(conn).ReviseQuote(ctx, request)
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
	choose(cmd, &format, "format", asText, "how to print the revision", asText, asJSON)
	f := cmd.Flags()
	f.StringVar(&asOf, "as-of", "", "the date the prices hold for, as 2026-03-01 (default today)")
	f.StringVar(&validUntil, "valid-until", "", "the last day it may be accepted (default 30 days after that)")
	f.StringVar(&etag, "etag", "", "only where the quote still has this etag (default: whatever its state)")
	f.StringVar(&requestID, "request-id", "", "makes a repeated call safe (default a fresh one, which is printed)")
	return cmd
}

// revisedBy takes what a job file has into the request.
func revisedBy(cmd *cobra.Command, request *wattlev1.ReviseQuoteRequest, path string) error {
	data, err := readFile(cmd.InOrStdin(), path, maxJobBytes)
	if err != nil {
		return err
	}
	job, err := decodeJob(path, data, nil)
	if err != nil {
		return err
	}
	request.Site, request.Spec, request.SavedSpec, request.Pricing = job.GetSite(), job.GetSpec(), job.GetSavedSpec(), job.GetPricing()
	if lines := job.GetCustomLines(); lines != nil {
		request.CustomLines = &wattlev1.ReviseQuoteRequest_CustomLines{Lines: lines}
	}
	if reference := job.GetExternalReference(); reference != "" {
		request.ExternalReference = &reference
	}
	return nil
}
