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

func newActualsCompare(r *remote) *cobra.Command {
	var format string
	var version int32
	cmd := &cobra.Command{
		Use:     "compare QUOTE",
		Short:   "Hold what a job used against its estimate, line by line",
		Example: `  wattle actuals compare 0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41 --company harrow`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.quoteName(cmd, args[0])
			if err != nil {
				return err
			}
			request := &wattlev1.CompareActualsRequest{Quote: name}
			if cmd.Flags().Changed(versionFlag) {
				request.Version = &version
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := actualsService(conn).CompareActuals(ctx, request)
				switch {
				case err != nil:
					return err
				case format == asJSON:
					return printMessage(cmd.OutOrStdout(), answer)
				case format == asCSV:
					return actualsLines(answer, asCSV).print(cmd.OutOrStdout(), asCSV)
				default:
					return printActualsLines(cmd.OutOrStdout(), answer)
				}
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the answer", asText, asJSON, asCSV)
	cmd.Flags().Int32Var(&version, versionFlag, 0, "this version of the record (default the newest)")
	return cmd
}

// sideWords say where a line stands.
var sideWords = map[wattlev1.ActualsLine_Side]string{
	wattlev1.ActualsLine_SIDE_BOTH:      "both",
	wattlev1.ActualsLine_SIDE_ESTIMATED: "not recorded",
	wattlev1.ActualsLine_SIDE_ACTUAL:    "never estimated",
}

func actualsKind(k wattlev1.ActualsLine_Kind) string {
	if k == wattlev1.ActualsLine_KIND_UNSPECIFIED {
		return ""
	}
	return strings.ToLower(strings.TrimPrefix(k.String(), "KIND_"))
}

func actualsLines(answer *wattlev1.CompareActualsResponse, format string) *table {
	t := newTable("kind", "name", "category", "unit", "side", "estimated", "actual", "difference", "percent", "estimated_cost", "paid", "cost_difference")
	if format == asCSV {
		for _, l := range answer.GetLines() {
			t.add(actualsKind(l.GetKind()), l.GetName(), l.GetCategory(), l.GetUnit(), sideWords[l.GetSide()], l.GetEstimated(), l.GetActual(),
				l.GetDifference(), l.GetPercent(), l.GetEstimatedCost(), l.GetPaid(), l.GetCostDifference())
		}
		return t
	}
	t = newTable("kind", "name", ">estimated", ">actual", "unit", ">difference", ">percent", ">cost", ">paid", "")
	for _, l := range answer.GetLines() {
		percent, note := l.GetPercent(), ""
		if percent != "" {
			percent = difference(percent) + " %"
		}
		if l.GetSide() != wattlev1.ActualsLine_SIDE_BOTH {
			note = sideWords[l.GetSide()]
		}
		t.add(actualsKind(l.GetKind()), l.GetName(), l.GetEstimated(), l.GetActual(), l.GetUnit(), rise(l.GetDifference()), percent,
			amount(l.GetEstimatedCost()), amount(l.GetPaid()), note)
	}
	return t
}

func printActualsLines(w io.Writer, answer *wattlev1.CompareActualsResponse) error {
	if err := actualsLines(answer, asText).text(w); err != nil {
		return err
	}
	a := answer.GetActuals()
	_, err := fmt.Fprintf(w, "\n%s by %s, finished on %s; version %d.\n", a.GetQuote(), a.GetCrew(), a.GetFinishedOn(), a.GetVersion())
	return err
}
