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

func newExportPriceList(r *remote) *cobra.Command {
	e := &exporting{}
	var revision int64
	request := &wattlev1.ExportPriceListRequest{PageSize: mostExportPage}
	cmd := &cobra.Command{
		Use:   "price-list",
		Short: "Export the price list in force at an office on a day",
		Example: `  wattle export price-list --company harrow --as-of 2026-03-15 --out march.csv
  wattle export price-list --company harrow --office north --revision 12 --out then.parquet`,
		Args: takes(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) (err error) {
			if request.Parent, err = r.parent(cmd); err != nil {
				return err
			}
			if cmd.Flags().Changed("revision") {
				request.Revision = &revision
			}
			var last *wattlev1.ExportPriceListResponse
			read := func(ctx context.Context, conn *grpc.ClientConn, token string) (page exportPage, err error) {
				page, last, err = readPriceList(ctx, conn, request, token)
				return page, err
			}
			return e.run(cmd, r, export.PriceList, read, func(rows int64) string {
				return fmt.Sprintf("%d rows: the prices at office %s on %s, as known at revision %d.", rows, last.GetOffice(), last.GetAsOf(), last.GetRevision())
			})
		},
	}
	e.flags(cmd)
	f := cmd.Flags()
	f.StringVar(&request.AsOf, "as-of", "", "the day, as 2026-03-15 (default today at the office)")
	f.Int64Var(&revision, "revision", 0, "as known at this book revision (default the newest)")
	f.StringVar(&request.Office, "office", "", "the office (default your key's)")
	f.StringVar(&request.Currency, "currency", "", "only prices in this currency (default all)")
	return cmd
}

func readPriceList(ctx context.Context, conn *grpc.ClientConn, request *wattlev1.ExportPriceListRequest, token string) (exportPage, *wattlev1.ExportPriceListResponse, error) {
	request.PageToken = token
	answer, err := exports(conn).ExportPriceList(ctx, request)
	if err != nil {
		return exportPage{}, nil, err
	}
	page := exportPage{
		next: answer.GetNextPageToken(), done: int64(len(answer.GetEntries())),
		facts: []export.Fact{
			{Name: "company", Value: strings.TrimPrefix(request.GetParent(), "companies/")},
			{Name: "office", Value: answer.GetOffice()},
			{Name: "as_of", Value: answer.GetAsOf()},
			{Name: "revision", Value: strconv.FormatInt(answer.GetRevision(), 10)},
			{Name: "head_hash", Value: answer.GetHeadHash()},
		},
	}
	for _, e := range answer.GetEntries() {
		for _, b := range e.GetBreaks() {
			page.rows = append(page.rows, export.Row{
				answer.GetAsOf(), answer.GetOffice(), e.GetItem(), e.GetSupplier(), b.GetMinQuantity(), b.GetPrice(), e.GetCurrency(), e.GetUnit(), e.GetPack(),
				e.GetDescription(), e.GetOffice(), e.GetEffectiveDate(), strconv.FormatInt(e.GetRevision(), 10),
			})
		}
	}
	return page, answer, nil
}
