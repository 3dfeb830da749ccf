package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newPricesResolve(r *remote) *cobra.Command {
	var format, asOf, currency string
	var revision int64
	cmd := &cobra.Command{
		Use:     "resolve ITEM...",
		Short:   "Say what items cost on a date, as known at a revision",
		Example: `  wattle prices resolve board-1x6-6ft rail-2x4-16ft --company harrow --as-of 2026-03-15 --revision 1`,
		Args:    takes(cobra.MinimumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			request := &wattlev1.ResolvePricesRequest{Parent: parent, Items: args, AsOf: asOf, Currency: currency}
			if cmd.Flags().Changed("revision") {
				request.Revision = &revision
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := prices(conn).ResolvePrices(ctx, request)
				switch {
				case err != nil:
					return err
				case format == asJSON:
					return printMessage(cmd.OutOrStdout(), answer)
				}
				t := entryTable()
				var without []*wattlev1.ResolvedPrice
				for _, p := range answer.GetPrices() {
					if len(p.GetOffers()) == 0 {
						without = append(without, p)
					}
					for _, offer := range p.GetOffers() {
						addEntry(t, offer, format)
					}
				}
				if len(t.rows) > 0 {
					if err := t.print(cmd.OutOrStdout(), format); err != nil {
						return err
					}
				}
				for _, p := range without {
					fmt.Fprintf(cmd.ErrOrStderr(), "%s: %s\n", p.GetItem(), p.GetNote())
				}
				if format == asText {
					fmt.Fprintf(cmd.OutOrStdout(), "\nAs of %s, book revision %d, hash %s\n", answer.GetAsOf(), answer.GetRevision(), answer.GetHeadHash())
				}
				return nil
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the answer", asText, asJSON, asCSV)
	cmd.Flags().StringVar(&asOf, "as-of", "", "the date the prices hold for, as 2026-03-01 (default today)")
	cmd.Flags().StringVar(&currency, "currency", "USD", "the currency, as ISO 4217")
	cmd.Flags().Int64Var(&revision, "revision", 0, "as known at this book revision (default the newest)")
	return cmd
}
