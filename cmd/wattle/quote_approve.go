package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newQuoteApprove(r *remote) *cobra.Command {
	return &cobra.Command{
		Use:   "approve NAME",
		Short: "Let a draft be issued whose margin is under its office's floor",
		Long: `Let a draft be issued whose margin is under its office's floor. It takes a
pricer's key of the office that set the floor, or of one above it.`,
		Example: `  wattle quote approve --company harrow 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.quoteName(cmd, args[0])
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				a, err := quotes(conn).ApproveQuote(ctx, &wattlev1.ApproveQuoteRequest{Name: name, RequestId: newRequestID()})
				if err != nil {
					return err
				}
				_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s is approved by %s: a margin of %s %%, under the floor of %s %%\n",
					name, a.GetApproverOffice(), a.GetMarginPercent(), a.GetFloorPercent())
				return err
			})
		},
	}
}
