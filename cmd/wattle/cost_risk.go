package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newCostRisk(r *remote) *cobra.Command {
	var format, every string
	var f follow
	var horizons []int32
	request := &wattlev1.AssessRiskRequest{}
	cmd := &cobra.Command{
		Use:   "risk [FILE]",
		Short: "Say how far cost strayed in the past, and how long a price may stand by that",
		Long: `Say how far cost strayed in so many days in the past, and for how long a price may
stand by that. It draws the changes of the history again and again, in blocks: no
forecast. --backtest says how often such bands would have held along the history.

` + costHelp,
		Example: `  wattle cost risk --spec standard/vertical-boards-6ft --company harrow --from 2019-01-01 --backtest
  wattle cost risk --item board-1x6-6ft=1 --company harrow --days 14,30 --risk 10 --tolerance 3`,
		Args: takes(cobra.MaximumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			basket, window, err := f.read(cmd, r, args)
			if err != nil {
				return err
			}
			request.Basket, request.Window, request.Every, request.Horizons = basket, window, spanNamed(every), horizons
			if request.Parent, err = r.parent(cmd); err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := wattlev1.NewCostServiceClient(conn).AssessRisk(ctx, request)
				if err != nil {
					return err
				}
				return printRisk(cmd.OutOrStdout(), request, answer, format)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print it; csv has the bands", asText, asJSON, asCSV)
	spanFlag(cmd, &every, "month", "day", "week", "month")
	flags := cmd.Flags()
	flags.StringVar(&request.Office, "office", "", "the office whose prices count, by id (default that of your key)")
	flags.Int32SliceVar(&horizons, "days", nil, "how far ahead, in days (default 30,60,90)")
	flags.StringVar(&request.RiskPercent, "risk", "20", "the chance of being wrong that is accepted, in percent")
	flags.StringVar(&request.TolerancePercent, "tolerance", "2", "the rise of cost that a price is to bear, in percent")
	flags.Int32Var(&request.StandingDays, "standing", 30, "for how many days a price is to stand, for the contingency")
	flags.Int32Var(&request.BlockLength, "block", 0, "how many changes in a row are drawn at once (default by their number)")
	flags.Int32Var(&request.Draws, "draws", 10_000, "how many paths are drawn")
	flags.Uint64Var(&request.Seed, "seed", 0, "the same seed gives the same answer")
	flags.BoolVar(&request.Backtest, "backtest", false, "also say how often such bands held along the history")
	f.flags(cmd)
	return cmd
}

func printRisk(w io.Writer, request *wattlev1.AssessRiskRequest, answer *wattlev1.AssessRiskResponse, format string) error {
	if format == asJSON {
		return printMessage(w, answer)
	}
	bands := newTable(">days", ">steps", ">p5", ">p20", ">p50", ">p80", ">p95")
	for _, b := range answer.GetBands() {
		bands.add(fmt.Sprint(b.GetDays()), fmt.Sprint(b.GetSteps()), b.GetP5(), b.GetP20(), b.GetP50(), b.GetP80(), b.GetP95())
	}
	if format == asCSV {
		return bands.print(w, asCSV)
	}
	h := answer.GetHeader()
	fmt.Fprintf(w, "%s\n%s to %s: %s of the grid, of which %d moved the cost; %s %s a foot on the last day.\n\n", followed(h), answer.GetFrom(), answer.GetTo(),
		countOf(answer.GetChanges(), "step", "steps"), answer.GetMoves(), answer.GetCostPerFoot(), h.GetCurrency())
	fmt.Fprintf(w, "Multiples of that, by %d draws of %s (seed %d):\n", answer.GetDraws(),
		countOf(answer.GetBlockLength(), "change at a time", "changes in a row"), request.GetSeed())
	if err := bands.text(w); err != nil {
		return err
	}
	fmt.Fprintf(w, "\nA rise of %s %% or less, with a risk of %s %%: a price may stand for %d days.\n", request.GetTolerancePercent(), request.GetRiskPercent(), answer.GetValidityDays())
	fmt.Fprintf(w, "A price that stands for %d days, with the same risk: a contingency of %s %% on material.\n", request.GetStandingDays(), answer.GetContingencyPercent())
	if len(answer.GetCoverage()) > 0 {
		fmt.Fprintln(w, "\nHow often bands made this way held along the history:")
		t := newTable(">days", "band", ">made to hold", ">held", ">inside", ">above", ">below")
		for _, c := range answer.GetCoverage() {
			t.add(fmt.Sprint(c.GetDays()), c.GetBand(), fmt.Sprintf("%d %%", c.GetNominalPercent()), c.GetPercent()+" %", fmt.Sprint(c.GetInside()), fmt.Sprint(c.GetAbove()), fmt.Sprint(c.GetBelow()))
		}
		if err := t.text(w); err != nil {
			return err
		}
	}
	fmt.Fprintln(w)
	printWrapped(w, "", answer.GetCaution())
	return nil
}
