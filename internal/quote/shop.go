package quote

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/money"
	"wattle/internal/takeoff"
)

// shop is the prices of a request as its job buys at them.
type shop struct {
	r      Request
	prices map[string]book.Resolved
	wanted []takeoff.Wanted
	units  map[string]takeoff.Unit // of the wanted items
}

func newShop(r Request, wanted []takeoff.Wanted) shop {
	s := shop{r: r, prices: make(map[string]book.Resolved, len(r.Prices)), wanted: wanted, units: make(map[string]takeoff.Unit, len(wanted))}
	for _, p := range r.Prices {
		s.prices[p.Item] = p
	}
	for _, w := range s.wanted {
		s.units[w.Item] = w.Unit
	}
	return s
}

// at is the shop at other prices.
func (s shop) at(prices []book.Resolved) shop {
	s.r.Prices = prices
	return newShop(s.r, s.wanted)
}

// plain reports whether the request is of rules that bought of the cheapest, in
// the take-off's own unit.
func (s shop) plain() bool { return s.r.RulesVersion <= oneUnitVersion }

// unpriced is an error that names every item without a price that the job can
// use; nil where each has one.
func (s shop) unpriced() error {
	v := &fault.List{}
	for _, w := range s.wanted {
		field := "prices[" + w.Item + "]"
		p, ok := s.prices[w.Item]
		switch {
		case !ok:
			v.Add(field, "no price was resolved")
		case len(p.Offers) == 0:
			v.Add(field, "%s", cmp.Or(p.Note, "no price"))
		default:
			for _, e := range p.Offers {
				v.Require(e.Currency == s.r.Currency, field, "is priced in %s; the quote is in %s", e.Currency, s.r.Currency)
			}
			if !s.plain() && len(s.usable(p, w.Unit).Offers) == 0 {
				v.Add(field, "%s", strings.Join(unusable(p, w.Unit), "; "))
			}
		}
	}
	err := v.Err()
	if e, ok := errors.AsType[*fault.Error](err); ok {
		e.Kind, e.Reason = fault.Refused, "PRICES_MISSING"
		e.Message = "the price book cannot price every item of this job"
	}
	return err
}

// usable keeps the offers that give a price for one of a unit.
func (s shop) usable(p book.Resolved, unit takeoff.Unit) book.Resolved {
	p.Offers = slices.DeleteFunc(slices.Clone(p.Offers), func(e book.Entry) bool { return refusal(e, unit) != "" })
	return p
}

func refusal(e book.Entry, unit takeoff.Unit) string { return offer(e, e.Breaks[0]).Refusal(unit) }

// unusable says why none of the offers is of use, each supplier by name where
// there are several.
func unusable(p book.Resolved, unit takeoff.Unit) []string {
	var all []string
	for _, e := range p.Offers {
		text := refusal(e, unit)
		if len(p.Offers) > 1 && e.Supplier != "" {
			text = "of " + e.Supplier + " " + text
		}
		all = append(all, text)
	}
	return all
}

func offer(e book.Entry, b book.Break) takeoff.Offer {
	return takeoff.Offer{Price: b.Price, Unit: takeoff.Unit(e.Unit), Pack: e.Pack}
}

// first is the offer that an item is counted by: that of the supplier who gets
// the order at the lowest quantity.
func (s shop) first(p book.Resolved) (book.Entry, book.Break, bool) {
	if s.plain() {
		return p.Pick(decimal.Zero)
	}
	unit := s.units[p.Item]
	bid, ok := s.usable(p, unit).Buy(book.Wish{Unit: string(unit), Preferred: s.r.Pricing.PreferredSuppliers})
	return bid.Entry, bid.Break, ok
}

// offers are what the take-off needs of the prices: each item's price at the
// lowest quantity, with its unit and pack.
func (s shop) offers() map[string]takeoff.Offer {
	offers := make(map[string]takeoff.Offer, len(s.r.Prices))
	for _, p := range s.r.Prices {
		if e, b, ok := s.first(p); ok {
			offers[p.Item] = offer(e, b)
		}
	}
	return offers
}

// buy is the entry that prices a line at its order, and the price per unit it is
// ordered in. Of the offers only those count that are sold by the unit and pack
// that the order was rounded to.
func (s shop) buy(c *money.Calc, t takeoff.Line) (book.Entry, decimal.Decimal) {
	p := s.prices[t.Item]
	if first, _, ok := s.first(p); ok {
		p = soldAs(p, first)
	}
	if s.plain() {
		e, b, _ := p.Pick(t.Order)
		return e, b.Price
	}
	bid, ok := p.Buy(book.Wish{Quantity: t.Order, Unit: string(t.OrderedIn()), Preferred: s.r.Pricing.PreferredSuppliers})
	if !ok || string(t.OrderedIn()) == bid.Entry.Unit {
		return bid.Entry, bid.Break.Price
	}
	return bid.Entry, c.Rat(bid.Price, book.PriceScale) // hours, which are counted in hundredths and not in packs
}

// soldAs keeps the offers by the unit and pack of one of them.
func soldAs(p book.Resolved, sale book.Entry) book.Resolved {
	p.Offers = slices.DeleteFunc(slices.Clone(p.Offers), func(e book.Entry) bool {
		return e.Unit != sale.Unit || e.Pack.Cmp(sale.Pack) != 0
	})
	return p
}

// stale cautions of every price that is older than the request's limit: of what
// the lines buy, and of the rates that labour is counted by.
func (s shop) stale(lines []Line) []layout.Caution {
	limit := 0
	if s.r.Pricing.StaleAfterDays != nil {
		limit = *s.r.Pricing.StaleAfterDays
	}
	if limit == 0 {
		return nil
	}
	since := make(map[string]civil.Date)
	for _, l := range lines {
		if l.Item != "" {
			since[l.Item] = l.Effective
		}
	}
	for _, w := range s.wanted {
		if _, bought := since[w.Item]; !bought && w.Category == takeoff.Labour {
			if e, _, ok := s.first(s.prices[w.Item]); ok {
				since[w.Item] = e.Effective
			}
		}
	}
	oldest := s.r.AsOf.AddDays(-limit)
	old := make(map[civil.Date][]string)
	var dates []civil.Date
	for item, day := range since {
		if day.Compare(oldest) < 0 {
			if old[day] == nil {
				dates = append(dates, day)
			}
			old[day] = append(old[day], item)
		}
	}
	if len(old) == 0 {
		return nil
	}
	slices.SortFunc(dates, civil.Date.Compare)
	parts := make([]string, len(dates))
	for i, day := range dates {
		slices.Sort(old[day])
		parts[i] = fmt.Sprintf("from %v (%s)", day, strings.Join(old[day], ", "))
	}
	return []layout.Caution{{
		Code: "prices-stale", Field: "pricing.stale_after_days",
		Text: fmt.Sprintf("Prices are more than %d days old on %v: %s.", limit, s.r.AsOf, strings.Join(parts, "; ")),
	}}
}
