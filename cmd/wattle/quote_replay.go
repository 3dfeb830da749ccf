package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newQuoteReplay(r *remote) *cobra.Command {
	var format string
	cmd := &cobra.Command{
		Use:   "replay NAME",
		Short: "Compute a stored quote anew and prove that nothing differs",
		Long: `Compute a stored quote anew, from what was stored with it and from the history
of the price book, and say what differs. Exits 1 where anything does.`,
		Example: `  wattle quote replay companies/harrow/quotes/0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			name, err := r.quoteName(cmd, args[0])
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := quotes(conn).ReplayQuote(ctx, &wattlev1.ReplayQuoteRequest{Name: name})
				if err != nil {
					return err
				}
				if format == asJSON {
					err = printMessage(cmd.OutOrStdout(), answer)
				} else {
					printReplay(cmd.OutOrStdout(), answer)
				}
				if err == nil && !answer.GetIdentical() {
					err = fmt.Errorf("%s does not replay", name)
				}
				return err
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the answer", asText, asJSON)
	return cmd
}

func printReplay(w io.Writer, r *wattlev1.ReplayQuoteResponse) {
	verdict := "DIFFERENT"
	if r.GetIdentical() {
		verdict = "identical"
	}
	fmt.Fprintf(w, "Replay: %s, fingerprint %s\n", verdict, r.GetFingerprint())
	for _, check := range []struct {
		about string
		*wattlev1.ReplayQuoteResponse_Check
	}{
		{"the stored document has the stored fingerprint", r.GetDocument()},
		{"the stored request computes to the stored document, byte for byte", r.GetArithmetic()},
		{"the price history resolves to the stored prices", r.GetResolution()},
	} {
		fmt.Fprintf(w, "  %-4s %s\n", outcomes[check.GetOutcome()], check.about)
		if check.GetNote() != "" {
			fmt.Fprintln(w, "       "+check.GetNote())
		}
		for _, d := range check.GetDifferences() {
			fmt.Fprintln(w, "       "+d.GetText())
		}
	}
}

var outcomes = map[wattlev1.ReplayQuoteResponse_Outcome]string{
	wattlev1.ReplayQuoteResponse_OUTCOME_UNSPECIFIED:       "?",
	wattlev1.ReplayQuoteResponse_OUTCOME_IDENTICAL:         "yes",
	wattlev1.ReplayQuoteResponse_OUTCOME_DIFFERENT:         "NO",
	wattlev1.ReplayQuoteResponse_OUTCOME_RULES_UNSUPPORTED: "n/a",
}
