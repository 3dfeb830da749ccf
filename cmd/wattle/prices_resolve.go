package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	wattlev1 "wattle/api/wattle/v1"
)

func newPricesResolve(r *remote) *cobra.Command {
	var format, asOf, currency string
	var revision int64
	var orders, prefer []string
	request := &wattlev1.ResolvePricesRequest{}
	cmd := &cobra.Command{
		Use:   "resolve ITEM...",
		Short: "Say what items cost on a date, as known at a revision, and why",
		Long: `Say what items cost on a date, as known at a revision. With --order the quantity
break and the supplier who gets the order are named; prices in other units are
converted exactly. With --why every entry that was considered is listed with what
became of it. Where an item has no price, the exit code is 1.`,
		Example: `  wattle prices resolve board-1x6-6ft rail-2x4-16ft --company harrow --as-of 2026-03-15 --revision 1
  wattle prices resolve gravel --company harrow --order "gravel=12 ft3" --prefer "Millbrook Lumber" --why`,
		Args: takes(cobra.MinimumNArgs(1)),
		RunE: func(cmd *cobra.Command, args []string) error {
			parent, err := r.parent(cmd)
			if err != nil {
				return err
			}
			request.Parent, request.Items, request.AsOf, request.Currency, request.PreferredSuppliers = parent, args, asOf, currency, prefer
			for _, text := range orders {
				order, err := readOrder("--order", text)
				if err != nil {
					return wrongUse(cmd, err)
				}
				request.Orders = append(request.Orders, order)
			}
			if cmd.Flags().Changed("revision") {
				request.Revision = &revision
			}
			return r.call(cmd, func(ctx context.Context, conn *grpc.ClientConn) error {
				answer, err := prices(conn).ResolvePrices(ctx, request)
				if err != nil {
					return err
				}
				if err := printResolved(cmd.OutOrStdout(), cmd.ErrOrStderr(), answer, request.GetExplain(), format); err != nil {
					return err
				}
				return unpriced(answer)
			})
		},
	}
	choose(cmd, &format, "format", asText, "how to print the answer", asText, asJSON, asCSV)
	cmd.Flags().StringVar(&asOf, "as-of", "", "the date the prices hold for, as 2026-03-01 (default today)")
	cmd.Flags().StringVar(&currency, "currency", "USD", "the currency, as ISO 4217")
	cmd.Flags().StringVar(&request.Office, "office", "", "the office that asks, by id (default that of your key)")
	cmd.Flags().Int64Var(&revision, "revision", 0, "as known at this book revision (default the newest)")
	cmd.Flags().StringArrayVar(&orders, "order", nil, `how much is bought of an item, as "ITEM=120" or "ITEM=120 ft" (repeatable)`)
	cmd.Flags().StringArrayVar(&prefer, "prefer", nil, "a supplier who gets the order if he has an offer (repeatable, the first first; default the office's)")
	cmd.Flags().BoolVar(&request.CheapestSupplier, "cheapest", false, "the cheapest gets the order, whomever the office prefers")
	cmd.Flags().BoolVar(&request.Explain, "why", false, "say of every entry that was considered what became of it")
	return cmd
}

// readOrder reads "ITEM=QUANTITY" or "ITEM=QUANTITY UNIT". An item may hold an
// equals sign, a quantity may not.
func readOrder(flag, text string) (*wattlev1.PriceOrder, error) {
	i := strings.LastIndex(text, "=")
	if i <= 0 {
		return nil, fmt.Errorf("%s %q: expected ITEM=QUANTITY, perhaps with a unit, such as gravel=12 ft3", flag, text)
	}
	quantity, unit, _ := strings.Cut(text[i+1:], " ")
	return &wattlev1.PriceOrder{Item: text[:i], Quantity: quantity, Unit: strings.TrimSpace(unit)}, nil
}

// unpriced is the error of an answer in which an item has no price.
func unpriced(answer *wattlev1.ResolvePricesResponse) error {
	without := 0
	for _, p := range answer.GetPrices() {
		if p.GetWinner() == nil {
			without++
		}
	}
	if without == 0 {
		return nil
	}
	return fmt.Errorf("%d of %d items have no price", without, len(answer.GetPrices()))
}

func printResolved(w, errs io.Writer, answer *wattlev1.ResolvePricesResponse, why bool, format string) error {
	switch {
	case format == asJSON:
		return printMessage(w, answer)
	case why && format == asCSV:
		return consideredTable(answer.GetPrices(), true).print(w, asCSV)
	}
	if why {
		for i, p := range answer.GetPrices() {
			if i > 0 {
				fmt.Fprintln(w)
			}
			if err := printWhy(w, p); err != nil {
				return err
			}
		}
	} else if err := printOffers(w, answer, format); err != nil {
		return err
	}
	for _, p := range answer.GetPrices() {
		switch {
		case p.GetWinner() != nil:
		case len(p.GetOffers()) > 0:
			fmt.Fprintf(errs, "%s: no offer is in a unit that converts into the one asked for\n", p.GetItem())
		default:
			fmt.Fprintf(errs, "%s: %s\n", p.GetItem(), p.GetNote())
		}
	}
	if format == asText {
		_, err := fmt.Fprintf(w, "\nAs of %s, book revision %d, hash %s\n", answer.GetAsOf(), answer.GetRevision(), answer.GetHeadHash())
		return err
	}
	return nil
}

func printOffers(w io.Writer, answer *wattlev1.ResolvePricesResponse, format string) error {
	t := entryTable()
	for _, p := range answer.GetPrices() {
		for _, offer := range p.GetOffers() {
			addEntry(t, offer, format)
		}
	}
	if len(t.rows) == 0 {
		return nil
	}
	return t.print(w, format)
}

// printWhy is an item's winner, and below it what became of each entry.
func printWhy(w io.Writer, p *wattlev1.ResolvedPrice) error {
	if win := p.GetWinner(); win != nil {
		fmt.Fprintf(w, "%s: %s per %s, of %s\n", p.GetItem(), win.GetPrice(), win.GetUnit(), named(win.GetSupplier()))
	} else {
		fmt.Fprintf(w, "%s: no price\n", p.GetItem())
	}
	if len(p.GetConsidered()) == 0 {
		return nil
	}
	return consideredTable([]*wattlev1.ResolvedPrice{p}, false).text(w)
}

func consideredTable(prices []*wattlev1.ResolvedPrice, items bool) *table {
	head := []string{"reason", "supplier", "office", "effective", ">revision", "why"}
	if items {
		head = append([]string{"item"}, head...)
	}
	t := newTable(head...)
	for _, p := range prices {
		for _, c := range p.GetConsidered() {
			e := c.GetEntry()
			reason := strings.ToLower(strings.ReplaceAll(strings.TrimPrefix(c.GetReason().String(), "REASON_"), "_", "-"))
			row := []string{reason, e.GetSupplier(), e.GetOffice(), e.GetEffectiveDate(), fmt.Sprint(e.GetRevision()), c.GetText()}
			if items {
				row = append([]string{p.GetItem()}, row...)
			}
			t.add(row...)
		}
	}
	return t
}

// named is a supplier for a sentence; a book may leave it out.
func named(supplier string) string {
	if supplier == "" {
		return "a supplier without a name"
	}
	return supplier
}
