package main

import (
	"context"
	"strconv"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/catalog"
)

func newSpecList(r *remote) *cobra.Command {
	var format string
	var withStandard bool
	cmd := &cobra.Command{
		Use:   "list [NAME]",
		Short: "List a company's specs by name, or all versions of one",
		Long: `List the newest version of each of a company's specs, or all versions of the one
named, newest first. Without a company, list the standard specs.`,
		Example: `  wattle spec list --company harrow --standard
  wattle spec list cedar-privacy --company harrow --format csv
  wattle spec list`,
		Args: takes(cobra.MaximumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			all := &wattlev1.ListSpecsResponse{}
			var err error
			if len(args) == 1 {
				err = r.listVersions(cmd, args[0], all)
			} else {
				err = r.listSpecs(cmd, withStandard, all)
			}
			switch {
			case err != nil:
				return err
			case format == asJSON:
				return printMessage(cmd.OutOrStdout(), all)
			}
			return specTable(all.GetSavedSpecs(), format).print(cmd.OutOrStdout(), format)
		},
	}
	choose(cmd, &format, "format", asText, "how to print the list", asText, asJSON, asCSV)
	cmd.Flags().BoolVar(&withStandard, "standard", false, "list the standard specs too")
	return cmd
}

// listSpecs adds every page of the list to all.
func (r *remote) listSpecs(cmd *cobra.Command, withStandard bool, all *wattlev1.ListSpecsResponse) error {
	request := &wattlev1.ListSpecsRequest{PageSize: mostPage, IncludeStandard: withStandard}
	from := catalog.StandardSpace
	if r.company != "" {
		request.Parent = "companies/" + r.company
		from = request.GetParent()
	}
	return r.callFor(cmd, from, func(ctx context.Context, conn *grpc.ClientConn) error {
		return everyPage(func(token string) (*wattlev1.ListSpecsResponse, error) {
			request.PageToken = token
			return specs(conn).ListSpecs(ctx, request)
		}, func(page *wattlev1.ListSpecsResponse) {
			all.SavedSpecs = append(all.SavedSpecs, page.GetSavedSpecs()...)
		})
	})
}

// listVersions adds every version of an entry to all.
func (r *remote) listVersions(cmd *cobra.Command, entry string, all *wattlev1.ListSpecsResponse) error {
	name, err := r.entryName(cmd, entry)
	if err != nil {
		return err
	}
	request := &wattlev1.ListSpecVersionsRequest{Name: name, PageSize: mostPage}
	return r.callFor(cmd, name, func(ctx context.Context, conn *grpc.ClientConn) error {
		return everyPage(func(token string) (*wattlev1.ListSpecVersionsResponse, error) {
			request.PageToken = token
			return specs(conn).ListSpecVersions(ctx, request)
		}, func(page *wattlev1.ListSpecVersionsResponse) {
			all.SavedSpecs = append(all.SavedSpecs, page.GetSavedSpecs()...)
		})
	})
}

func specTable(list []*wattlev1.SavedSpec, format string) *table {
	t := newTable("name", ">version", "state", "title", "office", "saved", ">rules", "sha256")
	for _, s := range list {
		state, saved, rules, hash := "standard", "", strconv.Itoa(int(s.GetRulesVersion())), s.GetSha256()
		if s.GetCreateTime() != nil {
			state, saved = "saved", s.GetCreateTime().AsTime().Format("2006-01-02T15:04:05Z")
		}
		if s.GetWithdrawn() {
			state, rules = "withdrawn", ""
		}
		if format == asText {
			hash = short(hash)
		}
		t.add(s.GetName(), strconv.Itoa(int(s.GetVersion())), state, s.GetTitle(), s.GetOffice(), saved, rules, hash)
	}
	return t
}
