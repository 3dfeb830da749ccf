package main

import (
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/civil"
	"wattle/internal/estimating"
	"wattle/internal/render"
	"wattle/internal/rpc"
	"wattle/internal/takeoff"
)

// asPriceList prints the items of a job as a price list to fill in.
const asPriceList = "price-list"

func newTakeoff() *cobra.Command {
	var format string
	var why bool
	var s survey
	cmd := &cobra.Command{
		Use:   "takeoff FILE",
		Short: "Count the material and work of a job; needs no database",
		Long: `Count the material and work of a job, with the reason of every figure; needs no
database. Without prices, sticks are cut for the least length.

` + jobHelp + `

` + surveyHelp,
		Example: `  wattle takeoff job.yaml --why
  wattle takeoff job.yaml --format csv > takeoff.csv
  wattle takeoff job.yaml --format price-list > prices.csv`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := s.named(cmd); err != nil {
				return err
			}
			job, err := s.read(cmd, args[0])
			if err != nil {
				return err
			}
			out := cmd.OutOrStdout()
			if format == asJSON {
				return inProcess(cmd.Context(), func(conn *grpc.ClientConn) error {
					answer, err := wattlev1.NewTakeoffServiceClient(conn).ComputeTakeoff(cmd.Context(),
						&wattlev1.ComputeTakeoffRequest{Site: job.GetSite(), Spec: job.GetSpec(), SavedSpec: job.GetSavedSpec(), AsOf: job.GetAsOf()})
					if err != nil {
						return err
					}
					return printMessage(out, answer)
				})
			}
			use := &estimating.Service{Now: time.Now}
			read, err := rpc.ReadJob(cmd.Context(), use, job)
			if err != nil {
				return err
			}
			on, err := asOf(job)
			if err != nil {
				return err
			}
			counted, err := use.ComputeTakeoff(cmd.Context(), read.Site, read.Spec, on)
			switch {
			case err != nil:
				return read.Explain(err)
			case format == asCSV:
				return render.TakeoffCSV(out, counted.Takeoff)
			case format == asPriceList:
				job := takeoff.Job{Layout: counted.Layout, Spec: counted.Spec, Conditions: read.Site.Conditions}
				return render.PriceListCSV(out, job.Wanted())
			}
			if err := printTakeoff(out, counted.Takeoff, why); err != nil {
				return err
			}
			if err := render.ChecksText(out, counted.Checks); err != nil {
				return err
			}
			return printClosures(out, read.ClosuresToProto())
		},
	}
	choose(cmd, &format, "format", asText, "how to print the take-off; price-list is what must be priced, as a file to import once it is filled in", asText, asJSON, asCSV, asPriceList)
	s.flags(cmd, runHelp)
	cmd.Flags().BoolVar(&why, "why", false, "print how each figure was reached (text; the other formats always say)")
	return cmd
}

// asOf is the day that the job's checks take their figures of, zero for today.
func asOf(job *wattlev1.CreateQuoteRequest) (civil.Date, error) {
	if job.GetAsOf() == "" {
		return civil.Date{}, nil
	}
	on, err := civil.Parse(job.GetAsOf())
	if err != nil {
		return on, fmt.Errorf("as_of: %w", err)
	}
	return on, nil
}

func printTakeoff(w io.Writer, t *takeoff.Takeoff, why bool) error {
	if err := render.TakeoffText(w, t); err != nil {
		return err
	}
	fmt.Fprintln(w)
	if err := render.CutListText(w, t); err != nil || !why {
		return err
	}
	for _, line := range t.Lines {
		fmt.Fprintln(w)
		if err := render.WhyText(w, line); err != nil {
			return err
		}
	}
	return nil
}
