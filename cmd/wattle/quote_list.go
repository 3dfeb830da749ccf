package main

import (
	"context"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newQuoteList(r *remote) *cobra.Command {
	var format, reference, customer string
	var states []string
	var limit int
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List a company's quotes, newest first",
		Example: `  wattle quote list --company harrow --reference yard-2026-017 --format csv
  wattle quote list --company harrow --status issued`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			if limit < 1 {
				return wrongUsef(cmd, "--limit: expected at least 1, found %d", limit)
			}
			in, err := statesOf(cmd, states)
			if err != nil {
				return err
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				all := &wattlev1.ListQuotesResponse{}
				for {
					page, err := quotes(conn).ListQuotes(ctx, &wattlev1.ListQuotesRequest{
						Parent: parent, PageSize: int32(min(limit-len(all.GetQuotes()), 1000)),
						PageToken: all.GetNextPageToken(), ExternalReference: reference, Customer: customer, States: in,
					})
					if err != nil {
						return err
					}
					all.Quotes = append(all.Quotes, page.GetQuotes()...)
					all.NextPageToken = page.GetNextPageToken()
					if all.GetNextPageToken() == "" || len(all.GetQuotes()) >= limit {
						break
					}
				}
				if format == asJSON {
					return printMessage(cmd.OutOrStdout(), all)
				}
				t := newTable("name", "status", "created", "as_of", "valid_until", "customer", "reference", ">total", "currency", "fingerprint")
				for _, q := range all.GetQuotes() {
					fingerprint := q.GetFingerprint()
					if format == asText {
						fingerprint = short(fingerprint)
					}
					t.add(q.GetName(), stateName(q.GetState()), q.GetCreateTime().AsTime().Format("2006-01-02T15:04:05Z"), q.GetAsOf(), q.GetValidUntil(),
						q.GetCustomer(), q.GetExternalReference(), q.GetTotal(), q.GetCurrency(), fingerprint)
				}
				return t.print(cmd.OutOrStdout(), format)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the list", asText, asJSON, asCSV)
	cmd.Flags().StringVar(&reference, "reference", "", "only quotes with this reference of the caller's")
	cmd.Flags().StringVar(&customer, "customer", "", "only quotes for this customer's reference")
	cmd.Flags().StringSliceVar(&states, "status", nil, "only quotes of this status, or of several with commas between: draft, issued, accepted, declined, expired, void")
	cmd.Flags().IntVar(&limit, "limit", 100, "at most so many quotes")
	return cmd
}

// statesOf are the states that --status names.
func statesOf(cmd *cobra.Command, names []string) ([]wattlev1.QuoteState, error) {
	var in []wattlev1.QuoteState
	for _, name := range names {
		state, ok := stateNames[name]
		if !ok {
			return nil, wrongUsef(cmd, "--status: expected draft, issued, accepted, declined, expired or void, found %q", name)
		}
		in = append(in, state)
	}
	return in, nil
}

// short is enough of a fingerprint to tell two apart.
func short(fingerprint string) string {
	return fingerprint[:min(12, len(fingerprint))]
}
