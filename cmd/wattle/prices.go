package main

import "github.com/spf13/cobra"

func newPrices() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:   "prices",
		Short: "Import price lists, and see what holds and why",
		Example: `  wattle prices import march.csv --company harrow --mode patch --dry-run
  wattle prices resolve board-1x6-6ft --company harrow --as-of 2026-03-15`,
	})
	r.flags(cmd)
	cmd.AddCommand(newPricesImport(r), newPricesHistory(r), newPricesResolve(r), newPricesImpact(r), newPricesVerify(r))
	return cmd
}
