package book

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
)

// Resolve answers the query from a whole history, in the order of q.Items. It
// is the definition of resolution; internal/postgres does the same search in
// one SQL query and is tested against it.
//
// Per supplier: of each office's entries effective by q.AsOf and known by
// q.Revision, the one in force has the latest effective date, then the highest
// revision. The nearest office that has one decides, unless that entry says
// Inherit, which passes the question to the next office up the path.
func Resolve(history []Entry, q Query) []Resolved {
	byItem := make(map[string][]Entry)
	for _, e := range history {
		if e.Revision <= q.Revision && slices.Contains(q.Offices, e.Office) {
			byItem[e.Item] = append(byItem[e.Item], e)
		}
	}
	out := make([]Resolved, len(q.Items))
	for i, item := range q.Items {
		out[i] = find(item, byItem[item], q.AsOf).Resolve(q)
	}
	return out
}

// Found is what a search of the history found for one item.
type Found struct {
	Item string
	// InForce has, for each office and supplier, the entry in force as of the
	// query's date and revision, in any order.
	InForce []Entry
	// Next is the first later effective date of a Priced entry known by the
	// query's revision; zero where there is none.
	Next civil.Date
}

func find(item string, known []Entry, asOf civil.Date) Found {
	f := Found{Item: item}
	newest := make(map[series]Entry)
	for _, e := range known {
		if e.Effective.Compare(asOf) > 0 {
			if e.State == Priced && (f.Next.IsZero() || e.Effective.Compare(f.Next) < 0) {
				f.Next = e.Effective
			}
			continue
		}
		was, ok := newest[e.series()]
		if !ok || cmp.Or(e.Effective.Compare(was.Effective), cmp.Compare(e.Revision, was.Revision)) > 0 {
			newest[e.series()] = e
		}
	}
	for _, e := range newest {
		f.InForce = append(f.InForce, e)
	}
	return f
}

// Resolve lets offices and suppliers decide among what was found.
func (f Found) Resolve(q Query) Resolved {
	near := func(e Entry) int { return slices.Index(q.Offices, e.Office) }
	slices.SortFunc(f.InForce, func(a, b Entry) int {
		return cmp.Or(strings.Compare(a.Supplier, b.Supplier), cmp.Compare(near(a), near(b)))
	})
	r := Resolved{Item: f.Item}
	var withdrawn civil.Date
	var foreign []string
	decided := make(map[string]bool) // suppliers
	for _, e := range f.InForce {
		if decided[e.Supplier] || e.State == Inherit {
			continue
		}
		decided[e.Supplier] = true
		switch {
		case e.State == Withdrawn:
			if e.Effective.Compare(withdrawn) > 0 {
				withdrawn = e.Effective
			}
		case e.Currency != q.Currency && !q.Currency.IsZero():
			foreign = append(foreign, e.Currency.String())
		default:
			r.Offers = append(r.Offers, e)
		}
	}
	if len(r.Offers) == 0 {
		r.Note = f.note(q, withdrawn, foreign)
	}
	return r
}

// note says in words why there is no offer.
func (f Found) note(q Query, withdrawn civil.Date, foreign []string) string {
	switch {
	case len(foreign) > 0:
		slices.Sort(foreign)
		return fmt.Sprintf("priced in %s, not in %s", strings.Join(slices.Compact(foreign), " and "), q.Currency)
	case !withdrawn.IsZero() && !f.Next.IsZero():
		return fmt.Sprintf("withdrawn from %v, priced again from %v", withdrawn, f.Next)
	case !withdrawn.IsZero():
		return fmt.Sprintf("withdrawn from %v", withdrawn)
	case !f.Next.IsZero():
		return fmt.Sprintf("first price from %v", f.Next)
	case len(f.InForce) > 0:
		return "inherits its price, but no office above has one"
	default:
		return "unknown item"
	}
}

// Pick chooses the cheapest offer for an order quantity: of each supplier the
// break with the largest MinQuantity not above it, then the lowest price per
// unit, ties to the supplier whose name sorts first. It reports false where
// there is no offer.
func (r Resolved) Pick(order decimal.Decimal) (Entry, Break, bool) {
	var entry Entry
	var best Break
	found := false
	for _, e := range r.Offers {
		b, ok := e.breakFor(order)
		if ok && (!found || b.Price.Less(best.Price)) {
			entry, best, found = e, b, true
		}
	}
	return entry, best, found
}

func (e Entry) breakFor(order decimal.Decimal) (Break, bool) {
	for _, b := range slices.Backward(e.Breaks) {
		if b.MinQuantity.Cmp(order) <= 0 {
			return b, true
		}
	}
	return Break{}, false
}
