package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

var importModes = map[string]wattlev1.ImportPricesRequest_Mode{
	"patch":   wattlev1.ImportPricesRequest_MODE_PATCH,
	"replace": wattlev1.ImportPricesRequest_MODE_REPLACE,
}

// maxListBytes is the largest price list that is read; the service's own limit
// is lower.
const maxListBytes = 1 << 30

// importTimeout is how long an import may take where the caller names no time:
// what the service gives a stream.
const importTimeout = 10 * time.Minute

func newPricesImport(r *remote) *cobra.Command {
	var mode, format, requestID string
	var dryRun bool
	var base int64
	cmd := &cobra.Command{
		Use:   "import FILE",
		Short: "Add a price list to the book, all of it or nothing",
		Long: `Add a price list (CSV) to the book, all of it or nothing, or with --dry-run say
what it would change. --base-revision guards an approved dry run: the import is
refused (exit code 3) if the book has moved since. "-" reads standard input.`,
		Example: `  wattle prices import march.csv --company harrow --mode patch --dry-run
  wattle prices import march.csv --company harrow --mode patch --base-revision 4`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if mode == "" {
				return wrongUsef(cmd, "say with --mode what becomes of items that the file does not mention: patch keeps their prices, replace withdraws them")
			}
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			list, err := readFile(cmd.InOrStdin(), args[0], maxListBytes)
			if err != nil {
				return err
			}
			if requestID == "" {
				requestID = newRequestID()
			}
			header := &wattlev1.ImportPricesRequest_Header{Parent: parent, RequestId: requestID, Mode: importModes[mode], DryRun: dryRun}
			if cmd.Flags().Changed("base-revision") {
				header.BaseRevision = &base
			}
			if !cmd.Flags().Changed("timeout") {
				r.timeout = importTimeout
			}
			fmt.Fprintln(cmd.ErrOrStderr(), "request id", requestID)
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := importList(ctx, conn, header, list, newProgress(cmd.ErrOrStderr(), len(list)))
				switch {
				case err != nil:
					return err
				case format == asJSON:
					return printMessage(cmd.OutOrStdout(), answer)
				case format == asCSV:
					return changeTable(answer.GetChanges()).print(cmd.OutOrStdout(), asCSV)
				default:
					return printImport(cmd.OutOrStdout(), answer)
				}
			})
		},
	}
	choose(cmd, &mode, "mode", "", "what becomes of items that the file does not mention", "patch", "replace")
	choose(cmd, &format, "format", asText, "how to print what changes", asText, asJSON, asCSV)
	cmd.Flags().BoolVar(&dryRun, "dry-run", false, "only say what would change")
	cmd.Flags().StringVar(&requestID, "request-id", "", "makes a repeated call safe (default a fresh one, which is printed)")
	cmd.Flags().Int64Var(&base, "base-revision", 0, "the revision that an approved dry run was made against")
	return cmd
}

func printImport(w io.Writer, a *wattlev1.ImportPricesResponse) error {
	if len(a.GetChanges()) > 0 {
		if err := changeTable(a.GetChanges()).text(w); err != nil {
			return err
		}
		fmt.Fprintln(w)
	}
	c := a.GetCounts()
	state := "nothing changed"
	switch changes := c.GetAdded() + c.GetRepriced() + c.GetAltered() + c.GetWithdrawn() + c.GetConfirmed(); {
	case a.GetApplied():
		state = "imported"
	case changes > 0:
		state = "dry run, nothing was stored"
	}
	_, err := fmt.Fprintf(w, "%d added, %d repriced, %d altered, %d withdrawn, %d confirmed, %d unchanged: %s\nBook revision %d (was %d), hash %s\n",
		c.GetAdded(), c.GetRepriced(), c.GetAltered(), c.GetWithdrawn(), c.GetConfirmed(), c.GetUnchanged(), state,
		a.GetRevision(), a.GetBaseRevision(), a.GetHeadHash())
	return err
}
