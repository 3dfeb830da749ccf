package main

import "github.com/spf13/cobra"

func newQuote() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:   "quote",
		Short: "Make, read, replay and compare quotes, and take them through their life",
		Example: `  wattle quote create job.yaml --company harrow
  wattle quote list --company harrow
  wattle quote issue companies/harrow/quotes/0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41
  wattle quote replay companies/harrow/quotes/0199c1f2-7a10-7c3e-8b1d-3f0a5e2c9d41`,
	})
	r.flags(cmd)
	cmd.AddCommand(newQuoteCreate(r), newQuoteShow(r), newQuoteList(r), newQuoteReplay(r), newQuoteRender(r), newQuoteCompare(r), newQuoteReprice(r),
		newQuoteApprove(r), newQuoteIssue(r), newQuoteAccept(r), newQuoteDecline(r), newQuoteVoid(r), newQuoteRevise(r))
	return cmd
}
