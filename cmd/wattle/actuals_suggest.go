package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	wattlev1 "wattle/api/wattle/v1"
)

func newActualsSuggest(r *remote) *cobra.Command {
	var format string
	var byOffice bool
	var s summing
	cmd := &cobra.Command{
		Use:   "suggest",
		Short: "Say which rates of work would have made the estimates right",
		Long: `Say which production rates would have made the estimates of finished jobs right:
those in force times the factor that jobs give reason to. Nothing is entered by it.
--format csv is a price list, for a pricer to read, to judge, and to import; a change
of more than 30 % needs --accept-jumps there. Quotes that are made already keep their
rates. Jobs that were estimated by a rate that is in force no more suggest nothing.`,
		Example: `  wattle actuals suggest --company harrow --from 2026-01-01 --effective 2026-07-01
  wattle actuals suggest --company harrow --effective 2026-07-01 --format csv >rates.csv
  wattle prices import rates.csv --company harrow --mode patch --dry-run`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			s.by = []string{"task"}
			if byOffice {
				s.by = append(s.by, "office")
			}
			return summarize(cmd, r, &s, func(answer *wattlev1.SummarizeActualsResponse) error {
				switch format {
				case asJSON:
					return printMessage(cmd.OutOrStdout(), answer)
				case asCSV:
					return suggestedList(answer).print(cmd.OutOrStdout(), asCSV)
				default:
					return printSuggestions(cmd.OutOrStdout(), answer)
				}
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the answer; csv is a price list", asText, asJSON, asCSV)
	cmd.Flags().BoolVar(&byOffice, "by-office", false, "a rate for each office by its own jobs (default one for --office, or your key's)")
	s.flags(cmd)
	return cmd
}

// suggestedList is a price list in the form that prices import takes.
func suggestedList(answer *wattlev1.SummarizeActualsResponse) *table {
	t := newTable("item", "effective", "unit", "price", "currency", "description", "office", "supplier", "pack")
	for _, g := range answer.GetGroups() {
		for _, e := range g.GetEntries() {
			t.add(e.GetItem(), e.GetEffectiveDate(), e.GetUnit(), e.GetPrice(), e.GetCurrency(), e.GetDescription(), e.GetOffice(), e.GetSupplier(), e.GetPack())
		}
	}
	return t
}

func printSuggestions(w io.Writer, answer *wattlev1.SummarizeActualsResponse) error {
	t := newTable("item", "office", "unit", ">in force", ">factor", ">suggested", "from", ">jobs", ">1/4", ">median", ">3/4")
	for _, g := range answer.GetGroups() {
		for _, e := range g.GetEntries() {
			t.add(e.GetItem(), e.GetOffice(), e.GetUnit(), e.GetPriceInForce(), g.GetFactor(), e.GetPrice(), e.GetEffectiveDate(), fmt.Sprint(g.GetJobs()),
				g.GetSpread().GetLowerQuartile(), g.GetSpread().GetMedian(), g.GetSpread().GetUpperQuartile())
		}
	}
	if len(t.rows) > 0 {
		if err := t.text(w); err != nil {
			return err
		}
		fmt.Fprintln(w)
	}
	for _, g := range answer.GetGroups() {
		if len(g.GetEntries()) == 0 {
			fmt.Fprintf(w, "%s: none; %s.\n", groupName(g), g.GetNote())
		}
	}
	_, err := fmt.Fprintln(w, "Nothing is entered by this. With --format csv it is a price list, for a pricer to judge and import.")
	return err
}
