package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/export"
)

func newExportPrices(r *remote) *cobra.Command {
	e := &exporting{}
	var since, revision int64
	cmd := &cobra.Command{
		Use:   "prices",
		Short: "Export every entry of the price book, or those since a revision",
		Long: `Export every entry of the price book that your key sees, by revision: all that
the book knew at --revision, less what it knew at --since. It says up to which
revision it went; give that as --since the next time, and the two files together
are what one export of all would have been, whatever is imported meanwhile.`,
		Example: `  wattle export prices --company harrow --out prices.parquet
  wattle export prices --company harrow --out more.jsonl --since 12`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			request := &wattlev1.ExportPricesRequest{Parent: parent, SinceRevision: since, PageSize: mostExportPage}
			if cmd.Flags().Changed("revision") {
				request.UntilRevision = &revision
			}
			var until int64
			read := func(ctx context.Context, conn *grpc.ClientConn, token string) (exportPage, error) {
				page, reached, err := readPrices(ctx, conn, request, token)
				until = reached
				return page, err
			}
			return e.run(cmd, r, export.Prices, read, func(rows int64) string {
				return fmt.Sprintf("%d rows of the revisions after %d, up to %d.\nGo on with --since %d.", rows, since, until, until)
			})
		},
	}
	e.flags(cmd)
	f := cmd.Flags()
	f.Int64Var(&since, "since", 0, "only entries of revisions after this one (default all)")
	f.Int64Var(&revision, "revision", 0, "only entries of revisions up to this one (default the newest)")
	return cmd
}

// readPrices also answers the revision up to which the export goes.
func readPrices(ctx context.Context, conn *grpc.ClientConn, request *wattlev1.ExportPricesRequest, token string) (exportPage, int64, error) {
	request.PageToken = token
	answer, err := exports(conn).ExportPrices(ctx, request)
	if err != nil {
		return exportPage{}, 0, err
	}
	page := exportPage{
		next: answer.GetNextPageToken(), done: int64(len(answer.GetEntries())), total: answer.GetTotalEntries(),
		facts: []export.Fact{
			{Name: "company", Value: strings.TrimPrefix(request.GetParent(), "companies/")},
			{Name: "since_revision", Value: strconv.FormatInt(request.GetSinceRevision(), 10)},
			{Name: "until_revision", Value: strconv.FormatInt(answer.GetUntilRevision(), 10)},
			{Name: "head_hash", Value: answer.GetHeadHash()},
		},
	}
	for _, e := range answer.GetEntries() {
		page.rows = append(page.rows, priceRows(e)...)
	}
	return page, answer.GetUntilRevision(), nil
}

// priceRows is an entry as rows of export.Prices.
func priceRows(e *wattlev1.PriceEntry) []export.Row {
	breaks := e.GetBreaks()
	if len(breaks) == 0 {
		breaks = []*wattlev1.PriceEntry_Break{nil}
	}
	rows := make([]export.Row, len(breaks))
	revision, state := strconv.FormatInt(e.GetRevision(), 10), word("STATE_", e.GetState())
	for i, b := range breaks {
		rows[i] = export.Row{
			revision, e.GetItem(), e.GetOffice(), e.GetSupplier(), e.GetEffectiveDate(), state, e.GetDescription(),
			e.GetCurrency(), e.GetUnit(), e.GetPack(), b.GetMinQuantity(), b.GetPrice(),
		}
	}
	return rows
}
