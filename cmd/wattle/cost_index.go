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

func newCostIndex(r *remote) *cobra.Command {
	var format, every, office, chart string
	var formulas []string
	var chained bool
	var base int32
	var f follow
	cmd := &cobra.Command{
		Use:   "index [FILE]",
		Short: "Compute price index numbers of a basket or of the quotes as they were made",
		Long: `Compute price index numbers by week or month: Laspeyres, Paasche, Fisher,
Tornqvist and Walsh. Prices are those of a period's last day; only whole periods
count. With --quotes each period has the quantities of the quotes made in it;
else they stay, and the formulas that weigh by quantity agree.

` + costHelp,
		Example: `  wattle cost index --quotes --company harrow --from 2024-01-01 --to 2025-12-31 --formula fisher,tornqvist
  wattle cost index --spec standard/vertical-boards-6ft --company harrow --chained --chart index.svg`,
		Args: takes(cobra.MaximumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			request := &wattlev1.ComputeIndexRequest{Office: office, Every: spanNamed(every), Chained: chained, Base: base}
			for _, name := range formulas {
				formula, ok := wattlev1.IndexFormula_value["INDEX_FORMULA_"+strings.ToUpper(name)]
				if !ok || formula == 0 {
					return wrongUsef(cmd, "--formula: expected laspeyres, paasche, fisher, tornqvist or walsh, found %q", name)
				}
				request.Formulas = append(request.Formulas, wattlev1.IndexFormula(formula))
			}
			basket, window, err := f.read(cmd, r, args)
			if err != nil {
				return err
			}
			request.Window = window
			if request.Parent, err = r.parent(cmd); err != nil {
				return err
			}
			request.Source = &wattlev1.ComputeIndexRequest_Basket{Basket: basket}
			if mix := basket.GetQuotes(); mix != nil {
				request.Source = &wattlev1.ComputeIndexRequest_Quotes{Quotes: &wattlev1.ComputeIndexRequest_QuotesByPeriod{
					Mix: mix, Scope: basket.GetScope(), Currency: basket.GetCurrency(),
				}}
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := wattlev1.NewCostServiceClient(conn).ComputeIndex(ctx, request)
				if err != nil {
					return err
				}
				if chart != "" {
					if err := drawIndex(chart, answer, int(base)); err != nil {
						return err
					}
				}
				return printIndex(cmd.OutOrStdout(), answer, format)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print it", asText, asJSON, asCSV)
	spanFlag(cmd, &every, "month", "week", "month")
	cmd.Flags().StringVar(&office, "office", "", "the office whose prices count, by id (default that of your key)")
	cmd.Flags().StringSliceVar(&formulas, "formula", nil, "only these formulas (default all)")
	cmd.Flags().BoolVar(&chained, "chained", false, "multiply the links from period to period, instead of comparing with the base")
	cmd.Flags().Int32Var(&base, "base", 0, "the period that is 100, counted from 0")
	cmd.Flags().StringVar(&chart, "chart", "", "also draw it into this file, a .svg or .png")
	f.flags(cmd)
	return cmd
}

func printIndex(w io.Writer, answer *wattlev1.ComputeIndexResponse, format string) error {
	if format == asJSON {
		return printMessage(w, answer)
	}
	head := []string{"period", "prices_of", ">quotes"}
	for _, s := range answer.GetSeries() {
		head = append(head, ">"+formulaName(s.GetFormula()))
	}
	t := newTable(head...)
	for i, p := range answer.GetPeriods() {
		row := []string{p.GetLabel(), p.GetTo(), fmt.Sprint(p.GetQuotes())}
		for _, s := range answer.GetSeries() {
			value := s.GetValues()[i]
			if format == asText {
				value = value[:len(value)-2] // four of six decimals
			}
			row = append(row, value)
		}
		t.add(row...)
	}
	return t.print(w, format)
}

func formulaName(f wattlev1.IndexFormula) string {
	return strings.ToLower(strings.TrimPrefix(f.String(), "INDEX_FORMULA_"))
}
