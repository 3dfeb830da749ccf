package main

import (
	"cmp"
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newQuoteCompare(r *remote) *cobra.Command {
	var format string
	cmd := &cobra.Command{
		Use:     "compare BASE OTHER",
		Short:   "Say, line by line, how a quote differs from another",
		Example: `  wattle quote compare --company harrow 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 0199e5aa-0b5c-7d0f-9a77-64c1be8f2e19`,
		Args:    takes(cobra.ExactArgs(2)),
		RunE: func(cmd *cobra.Command, args []string) error {
			base, err := r.quoteName(cmd, args[0])
			if err != nil {
				return err
			}
			other, err := r.quoteName(cmd, args[1])
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := quotes(conn).CompareQuotes(ctx, &wattlev1.CompareQuotesRequest{Base: base, Other: other})
				switch {
				case err != nil:
					return err
				case format == asJSON:
					return printMessage(cmd.OutOrStdout(), answer)
				case format == asCSV:
					return differences(answer).print(cmd.OutOrStdout(), asCSV)
				default:
					return printComparison(cmd.OutOrStdout(), answer, "")
				}
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the answer", asText, asJSON, asCSV)
	return cmd
}

func differences(c *wattlev1.CompareQuotesResponse) *table {
	t := newTable("line", ">quantity", ">was at", ">now at", ">by price", ">by quantity", ">cost")
	for _, l := range c.GetLines() {
		quantity := l.GetOther().GetQuantity()
		if was := l.GetBase().GetQuantity(); was != quantity {
			quantity = cmp.Or(was, "0") + " -> " + cmp.Or(quantity, "0")
		}
		t.add(l.GetDescription(), quantity, l.GetBase().GetUnitPrice(), l.GetOther().GetUnitPrice(),
			signed(l.GetPriceEffect()), signed(l.GetQuantityEffect()), signed(l.GetCostDifference()))
	}
	return t
}

func printComparison(w io.Writer, c *wattlev1.CompareQuotesResponse, indent string) error {
	if len(c.GetLines()) == 0 {
		fmt.Fprintln(w, indent+"No line differs.")
	} else if err := differences(c).text(w, indent); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "\n%sCost %s, price before tax %s, total %s.\n", indent,
		signed(c.GetCostDifference()), signed(c.GetNetDifference()), signed(c.GetTotalDifference()))
	return err
}

// signed shows an increase as one.
func signed(amount string) string {
	for _, c := range amount {
		if c == '-' {
			break
		}
		if c >= '1' && c <= '9' {
			return "+" + amount
		}
	}
	return amount
}
