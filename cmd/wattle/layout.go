package main

import (
	"errors"
	"io"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/estimating"
	"wattle/internal/render"
	"wattle/internal/rpc"
)

func newLayout() *cobra.Command {
	var d drawing
	var s survey
	cmd := &cobra.Command{
		Use:   "layout FILE",
		Short: "Place the posts, bays and gates of a job, or draw them; needs no database",
		Long: `Place the posts, bays and gates of a job, or draw them; needs no database.

` + jobHelp + `

` + surveyHelp,
		Example: `  wattle layout job.yaml
  wattle layout job.yaml --format svg > plan.svg
  wattle layout job.yaml --drawing elevation --run back > back.svg
  wattle layout job.yaml --drawing crew-sheet --format csv > posts.csv
  wattle layout spec.yaml --traverse lot.txt --closed
  wattle layout spec.yaml --geojson lot.geojson --drawing plan --paper a4 > lot.svg`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			run := s.run
			if s.traverse != "" && d.kind != drawElevation {
				run = "" // it names the traverse's run only
			}
			if err := d.settle(cmd, run); err != nil {
				return err
			}
			job, err := s.read(cmd, args[0])
			if err != nil {
				return err
			}
			switch d.format {
			case asJSON:
				return printLayout(cmd, job)
			case asSVG:
				return drawLayout(cmd, job, d, run)
			default:
				return writeLayout(cmd, job, d)
			}
		},
	}
	d.flags(cmd, "how to print the layout", asText, asJSON, asCSV, asSVG)
	s.flags(cmd, "the `id` of the run whose elevation is drawn (default: the first), and of the traverse's run (default: the name of its file)")
	return cmd
}

// printLayout prints the layout as JSON. It comes in pieces, so that it may be
// of any size.
func printLayout(cmd *cobra.Command, job *wattlev1.CreateQuoteRequest) error {
	return inProcess(cmd.Context(), func(conn *grpc.ClientConn) error {
		stream, err := wattlev1.NewLayoutServiceClient(conn).StreamLayout(cmd.Context(),
			&wattlev1.StreamLayoutRequest{Site: job.GetSite(), Spec: job.GetSpec(), SavedSpec: job.GetSavedSpec()})
		if err != nil {
			return err
		}
		whole := &wattlev1.PlanLayoutResponse{}
		for {
			piece, err := stream.Recv()
			if errors.Is(err, io.EOF) {
				return printMessage(cmd.OutOrStdout(), whole)
			}
			if err != nil {
				return err
			}
			proto.Merge(whole, piece.GetPart())
		}
	})
}

func drawLayout(cmd *cobra.Command, job *wattlev1.CreateQuoteRequest, d drawing, run string) error {
	return inProcess(cmd.Context(), func(conn *grpc.ClientConn) error {
		answer, err := wattlev1.NewLayoutServiceClient(conn).DrawLayout(cmd.Context(), &wattlev1.DrawLayoutRequest{
			Site: job.GetSite(), Spec: job.GetSpec(), SavedSpec: job.GetSavedSpec(),
			Drawing: drawings[d.kind], Paper: papers[d.paper], Run: run,
		})
		if err != nil {
			return err
		}
		_, err = cmd.OutOrStdout().Write(answer.GetDocument().GetContent())
		return err
	})
}

// writeLayout writes the layout or the crew sheet, as text or as CSV.
func writeLayout(cmd *cobra.Command, job *wattlev1.CreateQuoteRequest, d drawing) error {
	use := &estimating.Service{}
	read, err := rpc.ReadJob(cmd.Context(), use, job)
	if err != nil {
		return err
	}
	l, used, err := use.PlanLayout(cmd.Context(), read.Site, read.Spec)
	if err != nil {
		return read.Explain(err)
	}
	out, crew := cmd.OutOrStdout(), d.kind == drawCrewSheet
	switch {
	case crew && d.format == asCSV:
		return render.CrewSheetCSV(out, read.Site, l, render.CrewOptions{Spec: used})
	case crew:
		return render.CrewSheetText(out, read.Site, l, render.CrewOptions{Title: used.Name, Spec: used})
	case d.format == asCSV:
		return render.LayoutCSV(out, read.Site, l)
	}
	if err := render.LayoutText(out, read.Site, l); err != nil {
		return err
	}
	return printClosures(out, read.ClosuresToProto())
}
