package main

import (
	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/render"
	"wattle/internal/rpc"
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
			read, err := rpc.JobFromProto(job)
			if err != nil {
				return err
			}
			l, _, err := (&estimating.Service{}).PlanLayout(cmd.Context(), read.Site, read.Spec)
			switch {
			case err != nil:
				return read.Explain(err)
			case format == asCSV:
				return render.LayoutCSV(out, read.Site, l)
			default:
				return render.LayoutText(out, read.Site, l)
			}
		},
	}
	choose(cmd, &format, "format", asText, "how to print the layout", asText, asJSON, asCSV, asSVG)
	return cmd
}
