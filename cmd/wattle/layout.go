package main

import (
	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/fault"
	"wattle/internal/render"
	"wattle/internal/rpc"
	"wattle/internal/site"
	"wattle/internal/spec"
)

func newLayout() *cobra.Command {
	var format string
	cmd := &cobra.Command{
		Use:   "layout FILE",
		Short: "Place the posts, bays and gates of a job; needs no database",
		Long:  "Place the posts, bays and gates of a job; needs no database.\n\n" + jobHelp,
		Example: `  wattle layout job.yaml
  wattle layout job.yaml --format svg > plan.svg`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			job, err := readJob(cmd.InOrStdin(), args[0])
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			switch format {
			case asJSON:
				return inProcess(cmd.Context(), func(conn *grpc.ClientConn) error {
					answer, err := wattlev1.NewLayoutServiceClient(conn).PlanLayout(cmd.Context(),
						&wattlev1.PlanLayoutRequest{Site: job.GetSite(), Spec: job.GetSpec()})
					if err != nil {
						return err
					}
					return printMessage(out, answer)
				})
			case asSVG:
				return inProcess(cmd.Context(), func(conn *grpc.ClientConn) error {
					answer, err := wattlev1.NewLayoutServiceClient(conn).DrawLayout(cmd.Context(),
						&wattlev1.DrawLayoutRequest{Site: job.GetSite(), Spec: job.GetSpec()})
					if err != nil {
						return err
					}
					_, err = out.Write(answer.GetDocument().GetContent())
					return err
				})
			}
			st, sp, err := measuredJob(job)
			if err != nil {
				return err
			}
			l, _, err := (&estimating.Service{}).PlanLayout(cmd.Context(), st, sp)
			switch {
			case err != nil:
				return err
			case format == asCSV:
				return render.LayoutCSV(out, st, l)
			default:
				return render.LayoutText(out, st, l)
			}
		},
	}
	choose(cmd, &format, "format", asText, "how to print the layout", asText, asJSON, asCSV, asSVG)
	return cmd
}

// measuredJob is the part of a job that layout and take-off read.
func measuredJob(job *wattlev1.CreateQuoteRequest) (site.Site, spec.Spec, error) {
	v := &fault.List{}
	st := rpc.SiteFromProto(v.At("site"), job.GetSite())
	sp := rpc.SpecFromProto(v.At("spec"), job.GetSpec())
	return st, sp, v.Err()
}
