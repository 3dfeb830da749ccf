package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

// summing is what to sum finished jobs up by, as flags.
type summing struct {
	finishedWhen
	by        []string
	effective string
	least     int32
}

func (s *summing) flags(cmd *cobra.Command) {
	s.finishedWhen.flags(cmd)
	cmd.Flags().StringVar(&s.effective, "effective", "", "from when entries would hold, as 2026-07-01 (default today)")
	cmd.Flags().Int32Var(&s.least, "least-jobs", 0, "suggest a factor from so many jobs on (default 5)")
}

var subjects = map[string]wattlev1.SummarizeActualsRequest_Subject{
	"task":     wattlev1.SummarizeActualsRequest_SUBJECT_TASK,
	"item":     wattlev1.SummarizeActualsRequest_SUBJECT_ITEM,
	"category": wattlev1.SummarizeActualsRequest_SUBJECT_CATEGORY,
}

func (s *summing) request(cmd *cobra.Command, parent string) (*wattlev1.SummarizeActualsRequest, error) {
	request := &wattlev1.SummarizeActualsRequest{
		Parent: parent, FromDate: s.from, ToDate: s.to, Office: s.office, Crew: s.crew, EffectiveDate: s.effective, LeastJobs: s.least,
	}
	for _, word := range s.by {
		subject, known := subjects[word]
		switch {
		case word == "office":
			request.ByOffice = true
		case word == "crew":
			request.ByCrew = true
		case !known:
			return nil, wrongUsef(cmd, "--by: expected office, crew, task, item or category, or several with commas between; found %q", word)
		case request.GetSubject() != 0:
			return nil, wrongUsef(cmd, "--by: expected one of task, item and category, found several")
		default:
			request.Subject = subject
		}
	}
	return request, nil
}

func newActualsSummary(r *remote) *cobra.Command {
	var format string
	var s summing
	cmd := &cobra.Command{
		Use:   "summary",
		Short: "Hold all finished jobs against their estimates, by office, crew and task",
		Long: `Hold all finished jobs that your key sees against their estimates: how many there
are, what was estimated and used in all, the ratio of these sums, and how the jobs' own
ratios are spread: the least, the quartiles and the most. A quartile is the ratio of a
real job: the least that so large a part of the jobs does not exceed. A factor to
multiply estimates by is the ratio of the sums to 2 decimals, half up, from 5 jobs on.
Jobs that were estimated by other rates stand apart.`,
		Example: `  wattle actuals summary --company harrow --by office
  wattle actuals summary --company harrow --by crew,task --from 2026-01-01 --to 2026-06-30 --format csv
  wattle actuals summary --company harrow --by category`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return summarize(cmd, r, &s, func(answer *wattlev1.SummarizeActualsResponse) error {
				switch format {
				case asJSON:
					return printMessage(cmd.OutOrStdout(), answer)
				case asCSV:
					return groupTable(answer, asCSV).print(cmd.OutOrStdout(), asCSV)
				default:
					return printSummary(cmd.OutOrStdout(), answer)
				}
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the answer", asText, asJSON, asCSV)
	cmd.Flags().StringSliceVar(&s.by, "by", []string{"task"}, "office, crew, and one of task, item and category, with commas between")
	s.flags(cmd)
	return cmd
}

// summarize asks for a summary and shows it.
func summarize(cmd *cobra.Command, r *remote, s *summing, show func(*wattlev1.SummarizeActualsResponse) error) error {
	parent, err := r.parent(cmd)
	if err != nil {
		return err
	}
	request, err := s.request(cmd, parent)
	if err != nil {
		return err
	}
	return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
		answer, err := actualsService(conn).SummarizeActuals(ctx, request)
		if err != nil {
			return err
		}
		return show(answer)
	})
}

func groupTable(answer *wattlev1.SummarizeActualsResponse, format string) *table {
	t := newTable("office", "crew", "kind", "name", "unit", "hours_of", "currency", "rates", "jobs", "estimated_only_jobs", "actual_only_jobs",
		"estimated", "actual", "ratio", "least", "lower_quartile", "median", "upper_quartile", "most", "factor", "note")
	if format == asText {
		t = newTable("office", "crew", "name", "unit", "rate", ">jobs", ">estimated", ">actual", ">ratio", ">least", ">1/4", ">median", ">3/4", ">most", ">factor")
	}
	for _, g := range answer.GetGroups() {
		var rates []string
		for _, rate := range g.GetRates() {
			rates = append(rates, rate.GetItem()+" "+rate.GetValue()+" "+rate.GetUnit())
		}
		s := g.GetSpread()
		if format == asCSV {
			t.add(g.GetOffice(), g.GetCrew(), actualsKind(g.GetKind()), g.GetName(), g.GetUnit(), hoursOfWhom(g.GetHoursOf()), g.GetCurrency(), strings.Join(rates, "; "),
				fmt.Sprint(g.GetJobs()), fmt.Sprint(g.GetEstimatedOnlyJobs()), fmt.Sprint(g.GetActualOnlyJobs()), g.GetEstimated(), g.GetActual(), g.GetRatio(),
				s.GetLeast(), s.GetLowerQuartile(), s.GetMedian(), s.GetUpperQuartile(), s.GetMost(), g.GetFactor(), g.GetNote())
			continue
		}
		for i := range rates {
			rates[i] = g.GetRates()[i].GetValue() + " " + g.GetRates()[i].GetUnit()
		}
		t.add(g.GetOffice(), g.GetCrew(), cmp.Or(g.GetName(), notEstimated), g.GetUnit(), strings.Join(rates, ", "), fmt.Sprint(g.GetJobs()), g.GetEstimated(), g.GetActual(), g.GetRatio(),
			s.GetLeast(), s.GetLowerQuartile(), s.GetMedian(), s.GetUpperQuartile(), s.GetMost(), g.GetFactor())
	}
	return t
}

func printSummary(w io.Writer, answer *wattlev1.SummarizeActualsResponse) error {
	if len(answer.GetGroups()) > 0 {
		t := groupTable(answer, asText)
		for column := 1; column >= 0; column-- { // what is not grouped by
			if !t.filled(column) {
				t.drop(column)
			}
		}
		if err := t.text(w); err != nil {
			return err
		}
		fmt.Fprintln(w)
	}
	for _, g := range answer.GetGroups() {
		if n := g.GetEstimatedOnlyJobs() + g.GetActualOnlyJobs(); n > 0 {
			fmt.Fprintf(w, "%s: not compared where it was not recorded (%d jobs) or never estimated (%d).\n", groupName(g), g.GetEstimatedOnlyJobs(), g.GetActualOnlyJobs())
		}
		if g.GetFactor() == "" && g.GetJobs() > 0 {
			fmt.Fprintf(w, "%s: no factor, %s.\n", groupName(g), g.GetNote())
		}
	}
	_, err := fmt.Fprintf(w, "%s. Nothing is changed by this; `wattle actuals suggest` has the rates that would follow.\n", countOf(int32(answer.GetJobs()), "finished job", "finished jobs"))
	return err
}

// notEstimated stands for the category of what has none.
const notEstimated = "never estimated"

// groupName is a group in a sentence.
func groupName(g *wattlev1.ActualsGroup) string {
	return strings.Join(strings.Fields(g.GetOffice()+" "+g.GetCrew()+" "+cmp.Or(g.GetName(), notEstimated)), " ")
}
