package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newCostChange(r *remote) *cobra.Command {
	var format, office, chart string
	var f follow
	cmd := &cobra.Command{
		Use:   "change [FILE]",
		Short: "Say what moved the cost per foot between two days",
		Long: `Say what moved the cost per foot between two days, by component and by item. The
parts add up to the change.

` + costHelp,
		Example: `  wattle cost change --spec standard/vertical-boards-6ft --company harrow --from 2026-03-16 --to 2026-09-16
  wattle cost change --quotes --company harrow --from 2025-01-01 --to 2025-12-31 --chart movers.svg`,
		Args: takes(cobra.MaximumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			basket, window, err := f.read(cmd, r, args)
			if err != nil {
				return err
			}
			request := &wattlev1.ExplainChangeRequest{Basket: basket, Window: window, Office: office}
			if request.Parent, err = r.parent(cmd); err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := wattlev1.NewCostServiceClient(conn).ExplainChange(ctx, request)
				if err != nil {
					return err
				}
				if chart != "" {
					if err := drawMovers(chart, answer); err != nil {
						return err
					}
				}
				return printChange(cmd.OutOrStdout(), answer, format)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print it; csv has the items", asText, asJSON, asCSV)
	cmd.Flags().StringVar(&office, "office", "", "the office whose prices count, by id (default that of your key)")
	cmd.Flags().StringVar(&chart, "chart", "", "also draw the items into this file, a .svg or .png")
	f.flags(cmd)
	return cmd
}

func printChange(w io.Writer, answer *wattlev1.ExplainChangeResponse, format string) error {
	switch format {
	case asJSON:
		return printMessage(w, answer)
	case asCSV:
		t := newTable("item", "component", "unit", "price_from", "price_to", "effective", "revision", "basket", "per_foot", "share_percent")
		for _, m := range answer.GetMovers() {
			t.add(m.GetItem(), m.GetComponent(), m.GetUnit(), m.GetPriceFrom(), m.GetPriceTo(), m.GetEffectiveDate(), fmt.Sprint(m.GetRevision()),
				m.GetDifference().GetBasket(), m.GetDifference().GetPerFoot(), m.GetSharePercent())
		}
		return t.print(w, asCSV)
	}
	h := answer.GetHeader()
	fmt.Fprintf(w, "%s\n\n", followed(h))
	t := newTable("component", ">"+h.GetFrom(), ">"+h.GetTo(), ">change")
	for _, p := range answer.GetParts() {
		t.add(p.GetComponent(), p.GetFrom().GetPerFoot(), p.GetTo().GetPerFoot(), rise(p.GetDifference().GetPerFoot()))
	}
	t.add("all", answer.GetFrom().GetPerFoot(), answer.GetTo().GetPerFoot(), rise(answer.GetDifference().GetPerFoot()))
	if err := t.text(w); err != nil {
		return err
	}
	fmt.Fprintln(w)
	printWrapped(w, "", answer.GetText())
	for i, m := range answer.GetMovers() {
		printWrapped(w, fmt.Sprintf("%2d.", i+1), m.GetText()+".")
	}
	if n := answer.GetRestItems(); n > 0 {
		fmt.Fprintf(w, "    %s: %s %s a foot.\n", countOf(n, "other item", "other items"), rise(answer.GetRest().GetPerFoot()), h.GetCurrency())
	}
	return nil
}
