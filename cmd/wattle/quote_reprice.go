package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newQuoteReprice(r *remote) *cobra.Command {
	var format string
	request := &wattlev1.RepriceQuoteRequest{}
	var revision int64
	cmd := &cobra.Command{
		Use:   "reprice NAME",
		Short: "Say what a stored quote comes to today, and why it moved",
		Long: `Lay out, count and price the job of a stored quote again, by the newest rules and
at the prices of today or of another day and book revision. The change of each
line, and of the cost, is split without a remainder into

  by rules     what newer rules count otherwise, at the prices of then
  by price     what the same purchase costs now
  by stock     what cutting from other sticks saves or adds
  by quantity  what new packs and production rates change

Nothing is stored. Items that have no price any more are all named; then the
command exits 3.`,
		Example: `  wattle quote reprice companies/harrow/quotes/0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41
  wattle quote reprice --company harrow 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --as-of 2026-09-16 --format csv`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if request.Name, err = r.quoteName(cmd, args[0]); err != nil {
				return err
			}
			if cmd.Flags().Changed("revision") {
				request.Revision = &revision
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := quotes(conn).RepriceQuote(ctx, request)
				switch {
				case err != nil:
					return err
				case format == asJSON:
					return printMessage(cmd.OutOrStdout(), answer)
				case format == asCSV:
					return differences(answer.GetLines(), asCSV, true).print(cmd.OutOrStdout(), asCSV)
				default:
					return printRepricing(cmd.OutOrStdout(), answer)
				}
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the answer", asText, asJSON, asCSV)
	cmd.Flags().StringVar(&request.AsOf, "as-of", "", "the date the prices hold for, as 2026-03-01 (default today)")
	cmd.Flags().Int64Var(&revision, "revision", 0, "price from this book revision (default the newest)")
	return cmd
}

func printRepricing(w io.Writer, p *wattlev1.RepriceQuoteResponse) error {
	then, now := p.GetThen(), p.GetNow()
	fmt.Fprintf(w, "Quoted as of %s at book revision %d, priced again as of %s at revision %d.\n",
		then.GetAsOf(), then.GetBookRevision(), now.GetAsOf(), now.GetBookRevision())
	newer := then.GetRulesVersion() != now.GetRulesVersion()
	if newer {
		fmt.Fprintf(w, "It was quoted by rules version %d; today's are version %d.\n", then.GetRulesVersion(), now.GetRulesVersion())
	}
	fmt.Fprintln(w)
	if len(p.GetLines()) > 0 {
		if err := differences(p.GetLines(), asText, newer).text(w); err != nil {
			return err
		}
		fmt.Fprintln(w)
	}
	was, is := then.GetTotals(), now.GetTotals()
	t := newTable(p.GetCurrency(), ">then", ">now", ">change")
	for _, row := range [][3]string{
		{"Cost", was.GetCost(), is.GetCost()},
		{"Overhead", was.GetOverhead(), is.GetOverhead()},
		{"Profit", was.GetProfit(), is.GetProfit()},
		{"Price before tax", was.GetNet(), is.GetNet()},
		{"Tax", was.GetTax(), is.GetTax()},
		{"Total", was.GetTotal(), is.GetTotal()},
	} {
		t.add(row[0], amount(row[1]), amount(row[2]), difference(less(row[2], row[1])))
	}
	if err := t.text(w); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "\n%s\n", p.GetSummary())
	return err
}
