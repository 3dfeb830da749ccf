package main

import (
	"github.com/spf13/cobra"
)

// newRoot is the whole command tree.
func newRoot() *cobra.Command {
	root := group(&cobra.Command{
		Use:   "wattle",
		Short: "Estimates fences: layout, take-off, and priced quotes that replay",
		Long: `wattle turns site measurements and a fence specification into a post layout, a
counted take-off and a priced quote that can be replayed years later.

Exit codes: 0 done, 1 failed, 2 wrong use, 3 refused by a business rule.`,
		Example: `  wattle demo
  wattle layout job.yaml
  wattle serve --local`,
		SilenceUsage:  true,
		SilenceErrors: true,
	})
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error { return wrongUse(cmd, err) })
	root.AddCommand(newDemo(), newServe(), newWork(), newMigrate(), newLayout(), newTakeoff(), newQuote(), newActuals(), newOptions(), newAdvise(), newPrices(), newExport(), newCost(), newSpec(),
		newEvents(), newWebhook(), newCompany(), newOffice(), newKey(), newTemplate(), newCustomer(), newConfig(), newDoctor(), newHealth())
	return root
}

// group is a command that only holds others: alone it shows its help, and a
// word that names none of them is wrong use.
func group(cmd *cobra.Command) *cobra.Command {
	cmd.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			return wrongUsef(cmd, "there is no command %q", args[0])
		}
		return nil
	}
	cmd.RunE = func(cmd *cobra.Command, _ []string) error { return cmd.Help() }
	return cmd
}

// takes makes a wrong number of arguments wrong use.
func takes(check cobra.PositionalArgs) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if check(cmd, args) != nil {
			return wrongUsef(cmd, "expected `%s`, found %d argument(s)", cmd.UseLine(), len(args))
		}
		return nil
	}
}
