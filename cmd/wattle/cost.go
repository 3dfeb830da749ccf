package main

import (
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	wattlev1 "wattle/api/wattle/v1"
)

const costHelp = `What is followed is a fence of a job file, of a saved spec (--spec, 100 ft of it on
level ground), what the company quoted (--quotes), or items (--item). Its
quantities stay while prices move: a fence is counted by the prices of one day,
--counted-on, by default the last. Of it the material counts, or with --total
all that makes its cost.`

func newCost() *cobra.Command {
	r := &remote{}
	cmd := group(&cobra.Command{
		Use:   "cost",
		Short: "Follow what a fence costs over time, and what moved it",
		Long: `Follow what a fence costs over time, and what moved it.

` + costHelp,
		Example: `  wattle cost track --spec standard/vertical-boards-6ft --company harrow --every month
  wattle cost change job.yaml --company harrow --from 2026-03-16 --to 2026-09-16`,
	})
	r.flags(cmd)
	cmd.AddCommand(newCostTrack(r), newCostIndex(r), newCostChange(r), newCostRisk(r))
	return cmd
}

// follow is what is followed, where and when, as flags say it.
type follow struct {
	spec, currency, countedOn, length string
	quotes, total, withGates, then    bool
	states, items                     []string
	from, to                          string
	revision                          int64
}

func (f *follow) flags(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.spec, "spec", "", "follow 100 ft of a spec of the catalogue, such as standard/vertical-boards-6ft")
	flags.BoolVar(&f.quotes, "quotes", false, "follow what the company's quotes of these days buy")
	flags.StringSliceVar(&f.states, "status", nil, "with --quotes: quotes of this status, or of several with commas between (default accepted)")
	flags.StringArrayVar(&f.items, "item", nil, `follow an item, as "ITEM=7" or "ITEM=7 ft" (repeatable)`)
	flags.StringVar(&f.length, "length", "", "with --item: the length of fence that the items make, such as \"100 ft\" (default 1 ft)")
	flags.StringVar(&f.countedOn, "counted-on", "", "the day by whose prices the fence is counted (default the last)")
	flags.StringVar(&f.currency, "currency", "USD", "the currency, as ISO 4217")
	flags.BoolVar(&f.total, "total", false, "labour, equipment and removal too, not material alone")
	flags.BoolVar(&f.withGates, "with-gates", false, "divide by the gates' spans too")
	flags.StringVar(&f.from, "from", "", "the first day, as 2021-01-01 (default five years before the last)")
	flags.StringVar(&f.to, "to", "", "the last day (default today)")
	flags.BoolVar(&f.then, "then", false, "with the prices that were known on each day, not those known of it now")
	flags.Int64Var(&f.revision, "revision", 0, "as known at this book revision (default the newest)")
}

// read makes basket and window of the flags and a job file, if there is one.
func (f *follow) read(cmd *cobra.Command, r *remote, args []string) (*wattlev1.CostBasket, *wattlev1.CostWindow, error) {
	sources := len(args)
	for _, given := range []bool{f.spec != "", f.quotes, len(f.items) > 0} {
		if given {
			sources++
		}
	}
	if sources != 1 {
		return nil, nil, wrongUsef(cmd, "expected one of a job file, --spec, --quotes and --item, found %d", sources)
	}
	window := &wattlev1.CostWindow{From: f.from, To: f.to}
	if f.then {
		window.Known = wattlev1.CostWindow_KNOWN_THEN
	}
	if cmd.Flags().Changed("revision") {
		window.Revision = &f.revision
	}
	basket := &wattlev1.CostBasket{Currency: f.currency, WithGates: f.withGates}
	if f.total {
		basket.Scope = wattlev1.CostScope_COST_SCOPE_TOTAL
	}
	return basket, window, f.source(cmd, r, args, basket)
}

func (f *follow) source(cmd *cobra.Command, r *remote, args []string, basket *wattlev1.CostBasket) error {
	switch {
	case len(args) == 1:
		job, err := readJob(cmd.InOrStdin(), args[0])
		if err != nil {
			return err
		}
		r.reads(job.GetParent())
		basket.Source = &wattlev1.CostBasket_Reference{Reference: &wattlev1.ReferenceFence{
			Site: job.GetSite(), Spec: job.GetSpec(), SavedSpec: job.GetSavedSpec(), CountedOn: f.countedOn,
		}}
	case f.spec != "":
		basket.Source = &wattlev1.CostBasket_Reference{Reference: &wattlev1.ReferenceFence{SavedSpec: f.spec, CountedOn: f.countedOn}}
	case f.quotes:
		states, err := statesOf(cmd, f.states)
		if err != nil {
			return err
		}
		basket.Source = &wattlev1.CostBasket_Quotes{Quotes: &wattlev1.QuoteMix{States: states}}
	default:
		items := &wattlev1.BasketItems{Length: f.length}
		for _, text := range f.items {
			order, err := readOrder("--item", text)
			if err != nil {
				return wrongUse(cmd, err)
			}
			items.Items = append(items.Items, &wattlev1.BasketItem{Item: order.GetItem(), Quantity: order.GetQuantity(), Unit: order.GetUnit()})
		}
		basket.Source = &wattlev1.CostBasket_Items{Items: items}
	}
	return nil
}

// spanFlag adds --every.
func spanFlag(cmd *cobra.Command, every *string, def string, words ...string) {
	choose(cmd, every, "every", def, "how often: one of "+strings.Join(words, ", "), words...)
}

func spanNamed(word string) wattlev1.CostEvery {
	return wattlev1.CostEvery(wattlev1.CostEvery_value["COST_EVERY_"+strings.ToUpper(word)])
}

// followed is a line that says what was followed.
func followed(h *wattlev1.CostHeader) string {
	text := h.GetOffice() + ": " + h.GetLength().GetPrinted() + " of fence"
	switch {
	case h.GetQuotes() > 0:
		text += " of " + countOf(h.GetQuotes(), "quote", "quotes")
	case h.GetCountedOn() != "":
		text += ", counted by the prices of " + h.GetCountedOn()
	}
	return text + ", in " + h.GetCurrency() + " a foot; book revision " + strconv.FormatInt(h.GetRevision(), 10)
}
