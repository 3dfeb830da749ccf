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
					return differences(answer.GetLines(), asCSV, false).print(cmd.OutOrStdout(), asCSV)
				default:
					return printComparison(cmd.OutOrStdout(), answer)
				}
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the answer", asText, asJSON, asCSV)
	return cmd
}

// differences are the lines that differ, as CSV with the plain figures; what is
// by newer rules has a column where there may be any.
func differences(lines []*wattlev1.CompareQuotesResponse_LineDifference, format string, rules bool) *table {
	plain := func(text string) string { return text }
	show, change := plain, plain
	t := newTable("item", "line", "base_quantity", "other_quantity", "base_price", "other_price", "by_rules", "by_price", "by_stock", "by_quantity", "cost")
	if format == asText {
		show, change = amount, difference
		t = newTable("line", ">quantity", ">was at", ">now at", ">by rules", ">by price", ">by stock", ">by quantity", ">cost")
	}
	for _, l := range lines {
		was, now := l.GetBase(), l.GetOther()
		row := []string{l.GetItem(), l.GetDescription(), was.GetQuantity(), now.GetQuantity()}
		if format == asText {
			quantity := now.GetQuantity()
			if was.GetQuantity() != quantity {
				quantity = cmp.Or(was.GetQuantity(), "0") + " -> " + cmp.Or(quantity, "0")
			}
			row = []string{l.GetDescription(), quantity}
		}
		t.add(append(row, show(was.GetUnitPrice()), show(now.GetUnitPrice()), change(l.GetRulesEffect()),
			change(l.GetPriceEffect()), change(l.GetSubstitutionEffect()), change(l.GetQuantityEffect()), change(l.GetCostDifference()))...)
	}
	if !rules {
		t.drop(len(t.head) - 5)
	}
	return t
}

func printComparison(w io.Writer, c *wattlev1.CompareQuotesResponse) error {
	if len(c.GetLines()) == 0 {
		fmt.Fprintln(w, "No line differs.")
	} else if err := differences(c.GetLines(), asText, false).text(w); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "\nCost %s, price before tax %s, total %s.\n",
		difference(c.GetCostDifference()), difference(c.GetNetDifference()), difference(c.GetTotalDifference()))
	return err
}
