package main

import (
	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newExport() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:   "export",
		Short: "Write prices and quote lines to files, for analysis",
		Long: `Write prices and quote lines to CSV, JSON or Parquet files of any size. A file is
written whole or not at all. wattle export columns says what is in them.

In CSV an apostrophe goes before text that a spreadsheet would take for a formula
(it begins with = + - @, a tab or a line break) and before text that begins with
an apostrophe; take one apostrophe away to have the text as it was. Numbers stay
as they are.`,
		Example: `  wattle export prices --company harrow --out prices.parquet
  wattle export prices --company harrow --out more.csv --since 12 --no-header
  wattle export quote-lines --company harrow --status accepted --out - | head`,
	})
	r.flags(cmd)
	cmd.AddCommand(newExportPrices(r), newExportPriceList(r), newExportQuoteLines(r), newExportColumns())
	return cmd
}

func exports(conn *grpc.ClientConn) wattlev1.ExportServiceClient {
	return wattlev1.NewExportServiceClient(conn)
}
