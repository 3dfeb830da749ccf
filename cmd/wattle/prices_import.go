package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

var importModes = map[string]wattlev1.ImportPricesRequest_Mode{
	"patch":   wattlev1.ImportPricesRequest_MODE_PATCH,
	"replace": wattlev1.ImportPricesRequest_MODE_REPLACE,
}

// importTimeout is how long an import may take where the caller names no time:
// what the service gives a stream.
const importTimeout = 10 * time.Minute

func newPricesImport(r *remote) *cobra.Command {
	var mode, format string
	header := &wattlev1.ImportPricesRequest_Header{}
	var base int64
	cmd := &cobra.Command{
		Use:   "import FILE",
		Short: "Add a price list to the book, all of it or nothing",
		Long: `Add a price list (CSV) to the book, all of it or nothing, or with --dry-run say
what it would change. --base-revision guards an approved dry run: the import is
refused (exit code 3) if the book has moved since. It is refused too where a
price jumps by more than --jump-limit per cent, or an item changes its unit or
currency, unless that is accepted. "-" reads standard input; a list of any size
is sent as it is read.`,
		Example: `  wattle prices import march.csv --company harrow --mode patch --dry-run
  wattle prices import march.csv --company harrow --mode patch --base-revision 4 --accept-jumps`,
		Args: takes(cobra.ExactArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			if mode == "" {
				return wrongUsef(cmd, "say with --mode what becomes of items that the file does not mention: patch keeps their prices, replace withdraws them")
			}
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			list, size, err := openList(cmd.InOrStdin(), args[0])
			if err != nil {
				return err
			}
			defer func() { _ = list.Close() }() // it was only read
			if header.GetRequestId() == "" {
				header.RequestId = newRequestID()
			}
			header.Parent, header.Mode = parent, importModes[mode]
			if cmd.Flags().Changed("base-revision") {
				header.BaseRevision = &base
			}
			if !cmd.Flags().Changed("timeout") {
				r.timeout = importTimeout
			}
			fmt.Fprintln(cmd.ErrOrStderr(), "request id", header.GetRequestId())
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := importList(ctx, conn, header, list, newProgress(cmd.ErrOrStderr(), size))
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
	f := cmd.Flags()
	f.BoolVar(&header.DryRun, "dry-run", false, "only say what would change")
	f.StringVar(&header.RequestId, "request-id", "", "makes a repeated call safe (default a fresh one, which is printed)")
	f.Int64Var(&base, "base-revision", 0, "the revision that an approved dry run was made against")
	f.BoolVar(&header.AcceptJumps, "accept-jumps", false, "accept prices that change by more than the limit")
	f.StringVar(&header.JumpLimitPercent, "jump-limit", "30", "the change of a price, in per cent, over which it is a jump")
	f.BoolVar(&header.AcceptUnitChanges, "accept-unit-changes", false, "accept items sold by another unit or in another currency than before")
	f.BoolVar(&header.AcceptZeroPrices, "accept-zero-prices", false, "accept prices of 0")
	f.BoolVar(&header.RefuseUnknownItems, "refuse-unknown-items", false, "refuse a list with items that the book has never had")
	return cmd
}

// openList opens a list to be read once, and says its size; 0 where that is not
// known.
func openList(stdin io.Reader, path string) (io.ReadCloser, int64, error) {
	if path == "-" {
		return io.NopCloser(stdin), 0, nil
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, err
	}
	info, err := f.Stat()
	if err != nil {
		return nil, 0, errors.Join(err, f.Close())
	}
	return f, info.Size(), nil
}

func printImport(w io.Writer, a *wattlev1.ImportPricesResponse) error {
	if len(a.GetChanges()) > 0 {
		if err := changeTable(a.GetChanges()).text(w); err != nil {
			return err
		}
		fmt.Fprintln(w)
	}
	printNotices(w, a)
	c := a.GetCounts()
	state := "nothing changed"
	switch changes := changesOf(c); {
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

func changesOf(c *wattlev1.ImportPricesResponse_Counts) int64 {
	return c.GetAdded() + c.GetRepriced() + c.GetAltered() + c.GetWithdrawn() + c.GetConfirmed()
}

// printNotices prints what deserves a look. In a book that was empty every item
// is unknown, which is told in fewer words; withdrawals stand in the table unless
// that is cut.
func printNotices(w io.Writer, a *wattlev1.ImportPricesResponse) {
	listed, all := int64(len(a.GetChanges())), changesOf(a.GetCounts())
	if listed < all {
		fmt.Fprintf(w, "These are the first %d of %d changes.\n\n", listed, all)
	}
	if a.GetBaseRevision() == 0 && a.GetCounts().GetAdded() > 0 {
		fmt.Fprintln(w, "The book was empty: this is its first list.")
	}
	for _, group := range []struct {
		kind  wattlev1.PriceNotice_Kind
		count int64
		head  string
	}{
		{wattlev1.PriceNotice_KIND_JUMP, a.GetCounts().GetJumps(), "Prices that jump (--accept-jumps)"},
		{wattlev1.PriceNotice_KIND_UNIT_CHANGE, a.GetCounts().GetUnitChanges(), "Another unit or currency (--accept-unit-changes)"},
		{wattlev1.PriceNotice_KIND_WITHDRAWN, a.GetCounts().GetWithdrawn(), "Withdrawn"},
		{wattlev1.PriceNotice_KIND_UNKNOWN_ITEM, a.GetCounts().GetUnknownItems(), "Items new to the book"},
	} {
		told := group.kind == wattlev1.PriceNotice_KIND_UNKNOWN_ITEM && a.GetBaseRevision() == 0 ||
			group.kind == wattlev1.PriceNotice_KIND_WITHDRAWN && listed == all
		if group.count == 0 || told {
			continue
		}
		fmt.Fprintf(w, "%s: %d\n", group.head, group.count)
		for _, n := range a.GetNotices() {
			if n.GetKind() == group.kind {
				fmt.Fprintln(w, "  "+noticeText(n))
			}
		}
		fmt.Fprintln(w)
	}
}

func noticeText(n *wattlev1.PriceNotice) string {
	was, is := n.GetChange().GetOld(), n.GetChange().GetNew()
	text := n.GetItem()
	if is == nil {
		return text
	}
	if is.GetSupplier() != "" {
		text += ", " + is.GetSupplier()
	}
	if n.GetKind() == wattlev1.PriceNotice_KIND_WITHDRAWN {
		return text + ", from " + is.GetEffectiveDate()
	}
	text += fmt.Sprintf(", %s: %s %s/%s -> %s %s/%s", is.GetEffectiveDate(),
		firstPrice(was), was.GetCurrency(), was.GetUnit(), firstPrice(is), is.GetCurrency(), is.GetUnit())
	if p := difference(n.GetChange().GetPercent()); p != "" {
		text += " (" + p + " %)"
	}
	return text
}
