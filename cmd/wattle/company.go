package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newCompany() *cobra.Command {
	r := &remote{operator: true}
	cmd := group(&cobra.Command{
		Use:   "company",
		Short: "Make companies, as who runs the service",
		Long: `Make and list companies. These commands take the operator's key: that of this
machine's own ` + "`wattle serve --local`" + `, or the one in --key-file.`,
		Example: `  wattle company create harrow --title "Harrow & Daughters Fence" --time-zone America/Chicago
  wattle company list`,
	})
	r.flags(cmd)
	cmd.AddCommand(newCompanyCreate(r), newCompanyList(r))
	return cmd
}

func newCompanyCreate(r *remote) *cobra.Command {
	var title, zone, save, requestID string
	cmd := &cobra.Command{
		Use:   "create ID",
		Short: "Make a company, its root office and its first key",
		Long: `Make a company with its root office, main, and a first key, an admin of that. The
key's secret is shown by the service this once; it is kept in a file that only
you may read, where the other commands look for it.`,
		Example: `  wattle company create harrow --title "Harrow & Daughters Fence" --time-zone America/Chicago
  wattle company create harrow --save-key /etc/wattle/harrow.key`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			path := save
			if path == "" {
				var err error
				if path, err = companyKeyFile(args[0]); err != nil {
					return wrongUsef(cmd, "say with --save-key where the company's key shall be kept (%v)", err)
				}
			}
			if err := free(path); err != nil {
				return wrongUse(cmd, err)
			}
			if requestID == "" {
				requestID = newRequestID()
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := offices(conn).CreateCompany(ctx, &wattlev1.CreateCompanyRequest{
					CompanyId: args[0], RequestId: requestID, Title: title, TimeZone: zone,
				})
				if err != nil {
					return err
				}
				fmt.Fprintf(cmd.OutOrStdout(), "%s made, with the office main\n", answer.GetCompany().GetName())
				return keepSecret(cmd, path, answer.GetKey(), answer.GetSecret())
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&title, "title", "", "its name, for people")
	f.StringVar(&zone, "time-zone", "", "time zone of the root office, such as America/Chicago (default UTC)")
	f.StringVar(&save, "save-key", "", "file to keep its first key in (default where the other commands look)")
	f.StringVar(&requestID, "request-id", "", "makes a repeated call safe (default a fresh one)")
	return cmd
}

func newCompanyList(r *remote) *cobra.Command {
	return newList(r, &cobra.Command{
		Short:   "List the companies of the service",
		Example: `  wattle company list`,
	}, []string{"company", "title", "quotes from above", "made"},
		func(ctx context.Context, conn *grpc.ClientConn, _, token string) (*wattlev1.ListCompaniesResponse, error) {
			return offices(conn).ListCompanies(ctx, &wattlev1.ListCompaniesRequest{PageSize: mostPage, PageToken: token})
		}, func(t *table, page *wattlev1.ListCompaniesResponse) {
			for _, c := range page.GetCompanies() {
				t.add(c.GetName(), c.GetTitle(), yesNo(c.GetQuotesFromAbove()), stamp(c.GetCreateTime()))
			}
		})
}
