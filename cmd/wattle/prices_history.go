package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newPricesHistory(r *remote) *cobra.Command {
	var format string
	var revision int64
	cmd := &cobra.Command{
		Use:     "history ITEM",
		Short:   "List every entry the book has of an item, newest first",
		Example: `  wattle prices history board-1x6-6ft --company harrow --format csv`,
		Args:    takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			request := &wattlev1.ListPriceHistoryRequest{Parent: parent, Item: args[0], PageSize: mostPage}
			if cmd.Flags().Changed("revision") {
				request.Revision = &revision
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				all := &wattlev1.ListPriceHistoryResponse{}
				err := everyPage(func(token string) (*wattlev1.ListPriceHistoryResponse, error) {
					request.PageToken = token
					return prices(conn).ListPriceHistory(ctx, request)
				}, func(page *wattlev1.ListPriceHistoryResponse) { all.Entries = append(all.Entries, page.GetEntries()...) })
				if err != nil {
					return err
				}
				if format == asJSON {
					return printMessage(cmd.OutOrStdout(), all)
				}
				if len(all.GetEntries()) == 0 && format == asText {
					_, err := fmt.Fprintf(cmd.OutOrStdout(), "The book has no entry of %s.\n", args[0])
					return err
				}
				t := entryTable()
				for _, e := range all.GetEntries() {
					addEntry(t, e, format)
				}
				return t.print(cmd.OutOrStdout(), format)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the list", asText, asJSON, asCSV)
	cmd.Flags().Int64Var(&revision, "revision", 0, "as known at this book revision (default the newest)")
	return cmd
}

func entryTable() *table {
	return newTable("item", "supplier", "office", "effective", ">revision", "state", ">from", ">price", "currency", "unit", ">pack")
}

// addEntry adds an entry, a row for each quantity break; as text what repeats
// is left out.
func addEntry(t *table, e *wattlev1.PriceEntry, format string) {
	state := strings.ToLower(strings.TrimPrefix(e.GetState().String(), "STATE_"))
	row := []string{e.GetItem(), e.GetSupplier(), e.GetOffice(), e.GetEffectiveDate(), fmt.Sprint(e.GetRevision()), state}
	if len(e.GetBreaks()) == 0 {
		t.add(append(row, "", "", "", "", "")...)
	}
	for i, b := range e.GetBreaks() {
		if i > 0 && format == asText {
			row = make([]string, len(row))
		}
		t.add(append(slices.Clip(row), b.GetMinQuantity(), b.GetPrice(), e.GetCurrency(), e.GetUnit(), e.GetPack())...)
	}
}
