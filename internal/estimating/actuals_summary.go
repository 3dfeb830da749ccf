package estimating

import (
	"cmp"
	"context"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/actuals"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/money"
)

// SummarizeActuals is the wish to hold finished jobs against their estimates.
type SummarizeActuals struct {
	ActualsFilter
	By actuals.By
	// LeastJobs is from how many on a factor is suggested; 0 is the default.
	LeastJobs int
	// Effective is from when suggested entries would hold, today at the office
	// where it is zero.
	Effective civil.Date
}

// Summary is finished jobs against their estimates.
type Summary struct {
	Jobs   int64
	Groups []Finding
	// Office, Effective and Head are where, when and by which book rates are
	// read; where jobs are grouped by office, each office's own are.
	Office    string
	Effective civil.Date
	Head      book.Head
	LeastJobs int
}

// Finding is a group and what it gives reason to. Nothing of it is applied:
// entries are for somebody to import.
type Finding struct {
	actuals.Group
	Ratio, Factor *decimal.Decimal
	Entries       []actuals.Entry
	Note          string // why there is no factor, or no entry
}

// SummarizeActuals sums up the jobs that the caller sees.
func (s *Service) SummarizeActuals(ctx context.Context, in SummarizeActuals) (Summary, error) {
	if err := alive(ctx); err != nil {
		return Summary{}, err
	}
	f, err := in.reach(ctx)
	if err != nil {
		return Summary{}, err
	}
	out := Summary{LeastJobs: cmp.Or(in.LeastJobs, actuals.DefaultLeastJobs), Effective: in.Effective}
	if out.Office, err = readsAt(ctx, f.Company, f.Office); err != nil {
		return out, err
	}
	if out.Effective.IsZero() {
		out.Effective = s.today(ctx, out.Office)
	}
	if out.Head, err = s.Prices.Head(ctx, f.Company); err != nil {
		return out, err
	}
	in.By.Crew = in.By.Crew || f.Crew != "" // what one crew gives reason to is no rate of an office
	groups, jobs, err := s.Actuals.SummarizeActuals(ctx, f, in.By)
	if err != nil {
		return out, err
	}
	out.Jobs = jobs
	markets := markets{s: s, company: f.Company, summary: out, groups: groups, known: map[marketKey]actuals.Market{}}
	for _, g := range groups {
		found, err := find(ctx, g, out.LeastJobs, markets)
		if err != nil {
			return out, err
		}
		out.Groups = append(out.Groups, found)
	}
	return out, alive(ctx)
}

// find is what a group gives reason to.
func find(ctx context.Context, g actuals.Group, least int, all markets) (Finding, error) {
	found := Finding{Group: g}
	ratio, known, err := g.Ratio()
	if err != nil {
		return found, err
	}
	if known {
		found.Ratio = &ratio
	}
	if found.Factor, found.Note, err = g.Factor(least); err != nil || found.Factor == nil {
		return found, err
	}
	m, err := all.of(ctx, g)
	if err != nil {
		return found, err
	}
	found.Entries, found.Note, err = g.Entries(*found.Factor, m)
	return found, err
}

// markets are the rates in force, asked for once for each office and currency.
type markets struct {
	s       *Service
	company string
	summary Summary
	groups  []actuals.Group
	known   map[marketKey]actuals.Market
}

type marketKey struct {
	office   string
	currency money.Currency
}

// of is the market of a group: that of its office, or else of the whole summary.
func (m markets) of(ctx context.Context, g actuals.Group) (actuals.Market, error) {
	k := marketKey{cmp.Or(g.Office, m.summary.Office), g.Currency}
	if market, ok := m.known[k]; ok {
		return market, nil
	}
	market := actuals.Market{Office: k.office, Effective: m.summary.Effective, Preferred: Preferred(ctx, k.office, nil), Prices: map[string]book.Resolved{}}
	items, err := m.items(g.Currency)
	if err == nil && len(items) > 0 {
		var prices []book.Resolved
		prices, _, err = m.s.Prices.Resolve(ctx, book.Query{
			Company: m.company, Offices: CallerOf(ctx).Path(k.office), Items: items,
			AsOf: m.summary.Effective, Revision: m.summary.Head.Revision, Currency: g.Currency,
		})
		for _, p := range prices {
			market.Prices[p.Item] = p
		}
	}
	m.known[k] = market
	return market, err
}

// items are the rates of all groups in a currency.
func (m markets) items(c money.Currency) ([]string, error) {
	var all []string
	for _, g := range m.groups {
		rates, err := actuals.ParseRates(g.Rates)
		if err != nil {
			return nil, err
		}
		for _, r := range rates {
			if g.Currency == c {
				all = append(all, r.Item)
			}
		}
	}
	slices.Sort(all)
	return slices.Compact(all), nil
}
