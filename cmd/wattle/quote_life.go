package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// stateNames are the states by the words of the command line.
var stateNames = map[string]wattlev1.QuoteState{
	"draft":    wattlev1.QuoteState_QUOTE_STATE_DRAFT,
	"issued":   wattlev1.QuoteState_QUOTE_STATE_ISSUED,
	"accepted": wattlev1.QuoteState_QUOTE_STATE_ACCEPTED,
	"declined": wattlev1.QuoteState_QUOTE_STATE_DECLINED,
	"expired":  wattlev1.QuoteState_QUOTE_STATE_EXPIRED,
	"void":     wattlev1.QuoteState_QUOTE_STATE_VOID,
}

func stateName(s wattlev1.QuoteState) string {
	return strings.ToLower(strings.TrimPrefix(s.String(), "QUOTE_STATE_"))
}

var partyNames = map[string]wattlev1.QuoteDecision_Party{
	"customer": wattlev1.QuoteDecision_PARTY_CUSTOMER,
	"agent":    wattlev1.QuoteDecision_PARTY_AGENT,
}

// move is what every command that changes a quote's state takes.
type move struct {
	name, requestID, etag, format string
}

// decision is who decided, as flags.
type decision struct{ by, reference, date string }

func (d *decision) flags(cmd *cobra.Command) {
	choose(cmd, &d.by, "by", "", "who decided", "customer", "agent")
	cmd.Flags().StringVar(&d.reference, "reference", "", "what shows it, such as the id of a signed document; no names")
	cmd.Flags().StringVar(&d.date, "date", "", "the day it was decided, as 2026-03-12 (default today)")
}

// newQuoteMove is a command that changes a quote's state by one call.
func newQuoteMove(r *remote, cmd *cobra.Command, call func(context.Context, wattlev1.QuoteServiceClient, move) (interface{ GetQuote() *wattlev1.Quote }, error)) *cobra.Command {
	var m move
	cmd.Args = takes(cobra.ExactArgs(1))
	cmd.RunE = func(cmd *cobra.Command, args []string) (err error) {
		if m.name, err = r.quoteName(cmd, args[0]); err != nil {
			return err
		}
		if m.requestID == "" {
			m.requestID = newRequestID()
		}
		return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
			answer, err := call(ctx, quotes(conn), m)
			if err != nil {
				return err
			}
			if m.format == asJSON {
				return printMessage(cmd.OutOrStdout(), answer.GetQuote())
			}
			return printState(cmd.OutOrStdout(), answer.GetQuote())
		})
	}
	choose(cmd, &m.format, "format", asText, "how to print the quote", asText, asJSON)
	cmd.Flags().StringVar(&m.etag, "etag", "", "only where the quote still has this etag (default: whatever its state)")
	cmd.Flags().StringVar(&m.requestID, "request-id", "", "makes a repeated call safe (default a fresh one)")
	return cmd
}

// printState says where a quote stands in a line.
func printState(w io.Writer, q *wattlev1.Quote) error {
	also := ""
	switch q.GetState() {
	case wattlev1.QuoteState_QUOTE_STATE_ISSUED:
		also = ", can be accepted until " + stamp(q.GetExpireTime())
	case wattlev1.QuoteState_QUOTE_STATE_ACCEPTED:
		also = " on " + q.GetDecision().GetDecisionDate()
	default:
	}
	_, err := fmt.Fprintf(w, "%s is %s%s; etag %s\n", q.GetName(), stateName(q.GetState()), also, q.GetEtag())
	return err
}

func newQuoteIssue(r *remote) *cobra.Command {
	return newQuoteMove(r, &cobra.Command{
		Use:     "issue NAME",
		Short:   "Offer a draft to the customer, until its last day of validity ends",
		Example: `  wattle quote issue --company harrow 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41`,
	}, func(ctx context.Context, c wattlev1.QuoteServiceClient, m move) (interface{ GetQuote() *wattlev1.Quote }, error) {
		return c.IssueQuote(ctx, &wattlev1.IssueQuoteRequest{Name: m.name, RequestId: m.requestID, Etag: m.etag})
	})
}

func newQuoteAccept(r *remote) *cobra.Command {
	var d decision
	var fingerprint string
	cmd := newQuoteMove(r, &cobra.Command{
		Use:     "accept NAME",
		Short:   "Record that the customer accepted an issued quote; other options are closed",
		Example: `  wattle quote accept --company harrow 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --by customer --reference envelope-81`,
	}, func(ctx context.Context, c wattlev1.QuoteServiceClient, m move) (interface{ GetQuote() *wattlev1.Quote }, error) {
		return c.AcceptQuote(ctx, &wattlev1.AcceptQuoteRequest{
			Name: m.name, RequestId: m.requestID, Etag: m.etag, DecidedBy: partyNames[d.by], Reference: d.reference, DecisionDate: d.date, Fingerprint: fingerprint,
		})
	})
	d.flags(cmd)
	cmd.Flags().StringVar(&fingerprint, "fingerprint", "", "that of the document that was accepted; the call is refused where the quote has another")
	cmd.PreRunE = func(cmd *cobra.Command, _ []string) error {
		if d.by == "" {
			return wrongUsef(cmd, "say with --by who accepted: customer or agent")
		}
		return nil
	}
	return cmd
}

func newQuoteDecline(r *remote) *cobra.Command {
	var d decision
	cmd := newQuoteMove(r, &cobra.Command{
		Use:     "decline NAME",
		Short:   "Record that the customer declined an issued quote",
		Example: `  wattle quote decline --company harrow 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --by customer`,
	}, func(ctx context.Context, c wattlev1.QuoteServiceClient, m move) (interface{ GetQuote() *wattlev1.Quote }, error) {
		return c.DeclineQuote(ctx, &wattlev1.DeclineQuoteRequest{
			Name: m.name, RequestId: m.requestID, Etag: m.etag, DecidedBy: partyNames[d.by], Reference: d.reference, DecisionDate: d.date,
		})
	})
	d.flags(cmd)
	return cmd
}

func newQuoteVoid(r *remote) *cobra.Command {
	return newQuoteMove(r, &cobra.Command{
		Use:     "void NAME",
		Short:   "Withdraw a draft or an issued quote",
		Example: `  wattle quote void --company harrow 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41`,
	}, func(ctx context.Context, c wattlev1.QuoteServiceClient, m move) (interface{ GetQuote() *wattlev1.Quote }, error) {
		return c.VoidQuote(ctx, &wattlev1.VoidQuoteRequest{Name: m.name, RequestId: m.requestID, Etag: m.etag})
	})
}
