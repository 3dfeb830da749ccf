package actuals

import (
	"fmt"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/money"
)

// DefaultLeastJobs is from how many jobs on a factor is suggested: common
// practice is not to trust fewer than a handful.
const DefaultLeastJobs = 5

// Ratio is that of the sums; false without jobs.
func (g Group) Ratio() (decimal.Decimal, bool, error) {
	if g.Jobs == 0 {
		return decimal.Decimal{}, false, nil
	}
	r, err := Ratio(g.Actual, g.Estimated, RatioScale)
	return r, err == nil, err
}

// Factor is what to multiply estimates by: the ratio of the sums to 2 decimals,
// half up. It is nil, with the reason, where there are fewer jobs than least, or
// nothing to correct.
func (g Group) Factor(least int) (*decimal.Decimal, string, error) {
	switch {
	case g.Jobs == 0:
		return nil, "no job has both an estimate and what was used", nil
	case g.Jobs < int64(least):
		return nil, fmt.Sprintf("%d of the %d jobs from which on a factor is suggested", g.Jobs, least), nil
	}
	f, err := Ratio(g.Actual, g.Estimated, FactorScale)
	switch {
	case err != nil:
		return nil, "", err
	case f.Cmp(decimal.One) == 0:
		return nil, "as estimated: the factor is 1", nil
	case f.IsZero():
		return nil, "next to nothing was used, and a factor of 0 is none to estimate by", nil
	}
	return &f, "", nil
}

// Entry is an entry of the book that would correct an estimate, and the one in
// force that it would follow.
type Entry struct {
	book.Entry
	InForce book.Entry
}

// Market is where and from when entries would hold, and what is in force there on
// that day.
type Market struct {
	Office    string
	Effective civil.Date
	Preferred []string // suppliers
	Prices    map[string]book.Resolved
}

// Entries are the rates that the estimates rest on times the factor, for somebody
// to enter; or the reason why there are none. They are the book's in force, to
// its 6 decimals, half up.
func (g Group) Entries(factor decimal.Decimal, m Market) ([]Entry, string, error) {
	rates, err := ParseRates(g.Rates)
	switch {
	case err != nil:
		return nil, "", err
	case len(rates) == 0 && g.Kind == Labour:
		return nil, "the hours of all tasks: the rate of each is corrected by its own", nil
	case len(rates) == 0:
		return nil, "no rate of the book; waste is a setting of the spec", nil
	case g.Crew != "":
		return nil, "rates are of an office, not of a crew", nil
	}
	var all []Entry
	for _, r := range rates {
		bids, _ := m.Prices[r.Item].Bids(book.Wish{Unit: string(r.Unit), Preferred: m.Preferred})
		at := fmt.Sprintf("on %s at %s", m.Effective, m.Office)
		switch {
		case len(bids) == 0 || bids[0].Price == nil || bids[0].Entry.Currency != g.Currency:
			return nil, fmt.Sprintf("%s has no rate in force %s", r.Item, at), nil
		case bids[0].Price.Cmp(money.Rat(r.Value)) != 0:
			now, _, err := money.FromRat(bids[0].Price, book.MaxScale)
			return nil, fmt.Sprintf("estimated by %s %s, and %s is %s %s: jobs that are estimated by that are another group", r.Value.Trim(0), r.Unit, r.Item, now, at), err
		case len(bids[0].Entry.Breaks) != 1:
			return nil, fmt.Sprintf("%s has several rates by quantity %s", r.Item, at), nil
		}
		e := bids[0].Entry
		value := money.Rat(e.Breaks[0].Price)
		price, _, err := money.FromRat(value.Mul(value, money.Rat(factor)), book.MaxScale)
		if err != nil {
			return nil, "", err
		}
		next := e
		next.Office, next.Effective, next.Revision = m.Office, m.Effective, 0
		next.Breaks = slices.Clone(e.Breaks)
		next.Breaks[0].Price = price
		all = append(all, Entry{next, e})
	}
	return all, "", nil
}
