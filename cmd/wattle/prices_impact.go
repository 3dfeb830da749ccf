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

func newPricesImpact(r *remote) *cobra.Command {
	var format string
	var revision int64
	cmd := &cobra.Command{
		Use:   "impact",
		Short: "Say which open quotes a revision of the book moves, and by how much",
		Long: `Say which quotes that are draft or issued a revision of the book moves, by how
much, and which of them ask for items that have no price any more. It is worked
out behind an import's back: until all of it is there, the answer says so.`,
		Example: `  wattle prices impact --company harrow
  wattle prices impact --company harrow --revision 12 --format csv`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			request := &wattlev1.GetPriceImpactRequest{Parent: parent}
			if cmd.Flags().Changed("revision") {
				request.Revision = &revision
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				impacts := wattlev1.NewImpactServiceClient(conn)
				answer, err := impacts.GetPriceImpact(ctx, request)
				if err != nil {
					return err
				}
				sum := answer.GetSummary()
				all := &wattlev1.ListPriceImpactsResponse{}
				list := &wattlev1.ListPriceImpactsRequest{Parent: parent, Revision: sum.GetRevision(), PageSize: mostPage}
				err = everyPage(func(token string) (*wattlev1.ListPriceImpactsResponse, error) {
					list.PageToken = token
					return impacts.ListPriceImpacts(ctx, list)
				}, func(page *wattlev1.ListPriceImpactsResponse) { all.Impacts = append(all.Impacts, page.GetImpacts()...) })
				if err != nil {
					return err
				}
				switch format {
				case asJSON:
					if err := printMessage(cmd.OutOrStdout(), sum); err != nil {
						return err
					}
					return printMessage(cmd.OutOrStdout(), all)
				case asCSV:
					return impactTable(all, asCSV).print(cmd.OutOrStdout(), asCSV)
				default:
					return printImpact(cmd.OutOrStdout(), sum, all)
				}
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the answer", asText, asJSON, asCSV)
	cmd.Flags().Int64Var(&revision, "revision", 0, "of this book revision (default the newest)")
	return cmd
}

func impactTable(all *wattlev1.ListPriceImpactsResponse, format string) *table {
	plain := func(text string) string { return text }
	show, change := plain, plain
	t := newTable("quote", "office", "currency", "cost_then", "cost_now", "cost", "total_then", "total_now", "total", "without_price")
	if format == asText {
		show, change = amount, difference
		t = newTable("quote", "office", "currency", ">cost then", ">now", ">change", ">total then", ">now", ">change", "without price")
	}
	for _, i := range all.GetImpacts() {
		then, now, d := i.GetThen(), i.GetNow(), i.GetDifference()
		why := strings.Join(i.GetMissingItems(), " ")
		if why == "" {
			why = i.GetReason()
		}
		name := i.GetQuote()
		if format == asText {
			name = name[strings.LastIndex(name, "/")+1:]
		}
		t.add(name, i.GetOffice(), i.GetCurrency(), show(then.GetCost()), show(now.GetCost()), change(d.GetCost()),
			show(then.GetTotal()), show(now.GetTotal()), change(d.GetTotal()), why)
	}
	return t
}

func printImpact(w io.Writer, sum *wattlev1.PriceImpactSummary, all *wattlev1.ListPriceImpactsResponse) error {
	if len(all.GetImpacts()) > 0 {
		if err := impactTable(all, asText).text(w); err != nil {
			return err
		}
		fmt.Fprintln(w)
	}
	for _, m := range sum.GetMissingItems() {
		fmt.Fprintf(w, "%s has no price, and %s for it.\n", m.GetItem(), countOf(m.GetQuotes(), "open quote asks", "open quotes ask"))
	}
	for _, s := range sum.GetSums() {
		fmt.Fprintf(w, "%s: cost %s, total %s %s.\n", countOf(s.GetQuotes(), "quote", "quotes"), difference(s.GetCost()), difference(s.GetTotal()), s.GetCurrency())
	}
	state := "this is all"
	if sum.GetDoneTime() == nil {
		state = "the rest is being worked out"
	}
	_, err := fmt.Fprintf(w, "Book revision %d, as of %s: %s, %s; %s.\n", sum.GetRevision(), sum.GetAsOf(),
		countOf(sum.GetMovedQuotes(), "open quote moves", "open quotes move"), countOf(sum.GetLostQuotes(), "cannot be priced", "cannot be priced"), state)
	return err
}

func countOf(n int32, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
