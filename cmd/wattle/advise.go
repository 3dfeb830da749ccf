package main

import (
	"context"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/render"
	"wattle/internal/rpc"
)

func newAdvise() *cobra.Command {
	r, a := &remote{}, &asked{}
	var s survey
	var from, to, step string
	var methods []string
	var table int32
	cmd := &cobra.Command{
		Use:   "advise FILE",
		Short: "Find the cheapest bay width, method and rail stock of a job; stores nothing",
		Long: `Find the bay width, the method and the rail stock that build a job at the least
cost at the prices of the day, of those that pass every check. Nothing is
stored. The spec is tried as it is given, and by every method, with each length
of its rail stock and with all of them, bays from 6 ft to 8 ft in steps of 6 in.
Chain link and wire try bays from 8 ft to the spec's own, horizontal boards from
4 ft; panels and split rail, whose bays are the panel's and the rail's, only the
spec's own. At most 500 candidates are tried in all. All else of the spec stays
as it is given.

` + jobHelp + `

` + surveyHelp,
		Example: `  wattle advise job.yaml --company harrow
  wattle advise job.yaml --company harrow --from "5 ft" --to "7 ft" --step "3 in" --method even
  wattle advise job.yaml --company harrow --table 40 --format json`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := s.named(cmd); err != nil {
				return err
			}
			job, err := s.read(cmd, args[0])
			if err != nil {
				return err
			}
			request := &wattlev1.AdviseRequest{
				Parent: job.GetParent(), Currency: job.GetCurrency(), AsOf: job.GetAsOf(), Revision: job.Revision,
				Site: job.GetSite(), Spec: job.GetSpec(), SavedSpec: job.GetSavedSpec(), CustomLines: job.GetCustomLines(), Pricing: job.GetPricing(),
				BayFrom: from, BayTo: to, BayStep: step, TableSize: table,
			}
			for _, m := range methods {
				method, known := wattlev1.Spec_Layout_Method_value["METHOD_"+strings.ToUpper(m)]
				if !known || method == 0 {
					return wrongUsef(cmd, "--method: expected even, remainder or feathered, found %q", m)
				}
				request.Methods = append(request.Methods, wattlev1.Spec_Layout_Method(method))
			}
			if err := a.over(cmd, r, &request.Parent, &request.AsOf, &request.Revision); err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := wattlev1.NewAdviceServiceClient(conn).Advise(ctx, request)
				if err != nil {
					return err
				}
				return printAdvice(cmd.OutOrStdout(), answer, a.format)
			})
		},
	}
	r.flags(cmd)
	a.flags(cmd)
	s.flags(cmd, runHelp)
	f := cmd.Flags()
	f.StringVar(&from, "from", "", `the narrowest bay width to try (default "6 ft", or as the fence has it)`)
	f.StringVar(&to, "to", "", `the widest bay width to try (default "8 ft", or as the fence has it)`)
	f.StringVar(&step, "step", "", `from one bay width to the next (default "6 in")`)
	f.StringSliceVar(&methods, "method", nil, "the methods to try: even, remainder, feathered (default all)")
	f.Int32Var(&table, "table", 0, "how many candidates to list (default 10)")
	return cmd
}

func printAdvice(w io.Writer, answer *wattlev1.AdviseResponse, format string) error {
	if format == asJSON {
		return printMessage(w, answer)
	}
	advice, err := rpc.AdviceFromProto(answer)
	if err != nil {
		return err
	}
	if err := render.AdviceText(w, advice); err != nil {
		return err
	}
	return printClosures(w, answer.GetClosures())
}
