package book

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"wattle/internal/money"
)

// Reason says in a word why an entry gives the price or does not. The words are
// stable.
type Reason string

const (
	// Won: the order goes to it.
	Won Reason = "won"
	// NotYet: it holds from a later date.
	NotYet Reason = "not-yet-effective"
	// Superseded: of the same item, office and supplier, one with a later
	// effective date, or of the same date and learned later, is in force.
	Superseded Reason = "superseded"
	// Farther: an office nearer to the asking one has an entry of the supplier.
	Farther Reason = "farther-office"
	// Inherits: it passes the question to the parent office.
	Inherits Reason = "inherits"
	// Ended: it says that the supplier sells the item no more.
	Ended Reason = "withdrawn"
	// Foreign: it is in another currency.
	Foreign Reason = "other-currency"
	// NotConvertible: its unit is no fixed number of the one asked for.
	NotConvertible Reason = "unit-not-convertible"
	// NotPreferred: a supplier that is preferred to its own has an offer.
	NotPreferred Reason = "not-preferred"
	// Dearer: a supplier that is preferred as much asks less.
	Dearer Reason = "dearer-supplier"
	// Tied: another supplier asks the same, and its name comes first.
	Tied Reason = "tied-supplier"
)

// Reasons lists every reason, from the entry that won outwards.
func Reasons() []Reason {
	return []Reason{Won, Tied, Dearer, NotPreferred, NotConvertible, Foreign, Ended, Inherits, Farther, Superseded, NotYet}
}

// Considered is an entry with what became of it.
type Considered struct {
	Entry  Entry
	Reason Reason
	Text   string // a sentence with the figures
}

// Explained is the answer for one item with its reasons.
type Explained struct {
	Resolved
	// Winner gets the order; nil where nobody can.
	Winner *Bid
	// Unit is the one that offers were compared in; empty where there is none.
	Unit string
	// Considered are, for each office of the path and each supplier, the entry in
	// force, the one before it, and the next to come: by supplier, the nearest
	// office first, the latest date first.
	Considered []Considered
}

// Series is what a search found of one office and supplier for one item.
type Series struct {
	// InForce holds as of the date; Before is what would hold without it; Next
	// is the first to hold at a later date. Any may be nil, Before only beside
	// InForce.
	InForce, Before, Next *Entry
}

// Explain answers each item of the query as Resolve does, and says what became of
// every entry. Wishes are by item; an item without one has the zero Wish. It is
// the definition; internal/postgres makes the same search in SQL and is tested
// against it.
func Explain(history []Entry, q Query, wishes map[string]Wish) []Explained {
	resolved := Resolve(history, q)
	out := make([]Explained, len(resolved))
	for i, r := range resolved {
		lines := make(map[series][]Entry)
		for _, e := range history {
			if e.Item == r.Item && e.Revision <= q.Revision && slices.Contains(q.Offices, e.Office) {
				lines[e.series()] = append(lines[e.series()], e)
			}
		}
		var all []Series
		for _, line := range lines {
			all = append(all, seriesOf(line, q))
		}
		out[i] = r.Explain(all, q, wishes[r.Item])
	}
	return out
}

func seriesOf(line []Entry, q Query) Series {
	var s Series
	for _, e := range line {
		s.Add(e, q)
	}
	return s
}

// Add takes an entry of the series, as the query knows it, into account.
func (s *Series) Add(e Entry, q Query) {
	holds := func(a, b *Entry) bool { // a rather than b
		return b == nil || cmp.Or(a.Effective.Compare(b.Effective), cmp.Compare(a.Revision, b.Revision)) > 0
	}
	switch {
	case e.Effective.Compare(q.AsOf) > 0:
		if s.Next == nil || cmp.Or(s.Next.Effective.Compare(e.Effective), cmp.Compare(e.Revision, s.Next.Revision)) > 0 {
			s.Next = &e
		}
	case holds(&e, s.InForce):
		s.InForce, s.Before = &e, s.InForce
	case holds(&e, s.Before):
		s.Before = &e
	}
}

// Explain says, of an answer to the query, what became of each entry that a
// search found, in any order, for every office of the path and every supplier.
func (r Resolved) Explain(found []Series, q Query, w Wish) Explained {
	first := func(s Series) Entry { return *cmp.Or(s.InForce, s.Next) }
	near := func(s Series) int { return slices.Index(q.Offices, first(s).Office) }
	found = slices.SortedFunc(slices.Values(found), func(a, b Series) int {
		return cmp.Or(strings.Compare(first(a).Supplier, first(b).Supplier), cmp.Compare(near(a), near(b)))
	})
	x := Explained{Resolved: r}
	bids, unit := x.Bids(w)
	if len(bids) > 0 {
		x.Unit = unit
		if bids[0].Price != nil {
			x.Winner = &bids[0]
		}
	}
	decided := make(map[string]Entry) // the entry that speaks for a supplier
	for _, s := range found {
		if s.Next != nil {
			x.add(*s.Next, NotYet, "holds from %v, after the date asked for, %v", s.Next.Effective, q.AsOf)
		}
		e := s.InForce
		if e == nil {
			continue
		}
		if nearer, is := decided[e.Supplier]; is {
			x.add(*e, Farther, "the entry of office %s decides, which is nearer", nearer.Office)
		} else {
			if e.State != Inherit {
				decided[e.Supplier] = *e
			}
			x.decide(*e, bids, q, w)
		}
		if s.Before != nil {
			x.add(*s.Before, Superseded, "superseded by the entry that holds from %v, learned in revision %d", e.Effective, e.Revision)
		}
	}
	return x
}

func (x *Explained) add(e Entry, r Reason, format string, args ...any) {
	x.Considered = append(x.Considered, Considered{e, r, sentence(format, args...)})
}

// sentence starts with a capital and ends with a point.
func sentence(format string, args ...any) string {
	text := fmt.Sprintf(format, args...)
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

// decide says what became of the entry in force that speaks for its supplier.
func (x *Explained) decide(e Entry, bids []Bid, q Query, w Wish) {
	switch {
	case e.State == Inherit:
		x.add(e, Inherits, "leaves the price to the office above")
		return
	case e.State == Withdrawn:
		x.add(e, Ended, "withdrawn from %v", e.Effective)
		return
	case !q.Currency.IsZero() && e.Currency != q.Currency:
		x.add(e, Foreign, "priced in %s, not in %s", e.Currency, q.Currency)
		return
	}
	own := bids[slices.IndexFunc(bids, func(b Bid) bool { return b.Entry.Supplier == e.Supplier })]
	if own.Price == nil {
		x.add(e, NotConvertible, "priced %s, which is no fixed number of %s", per(e.Unit), x.Unit)
		return
	}
	switch best := *x.Winner; {
	case best.Entry.Supplier == e.Supplier:
		x.add(e, Won, "%s is what %s asks%s: %s", x.price(own), supplier(e), from(own.Break), x.won(bids, w))
	case own.rank > best.rank:
		x.add(e, NotPreferred, "%s%s, but %s is preferred", x.price(own), from(own.Break), supplier(best.Entry))
	case own.Price.Cmp(best.Price) > 0:
		x.add(e, Dearer, "%s%s is more than %s of %s", x.price(own), from(own.Break), x.price(best), supplier(best.Entry))
	default:
		x.add(e, Tied, "%s%s is also what %s asks, whose name comes first", x.price(own), from(own.Break), supplier(best.Entry))
	}
}

// won says by what rule the first of the bids won.
func (x *Explained) won(bids []Bid, w Wish) string {
	best, others, alike := bids[0], 0, 0
	for _, b := range bids[1:] {
		if b.Price != nil {
			others++
			if b.rank == best.rank {
				alike++
			}
		}
	}
	switch {
	case others == 0:
		return "the only offer"
	case best.rank < len(w.Preferred):
		return "the first of the preferred suppliers that has an offer"
	case alike > 0 && best.Price.Cmp(bids[1].Price) == 0:
		return fmt.Sprintf("the lowest of %d prices, by name the first that asks it", alike+1)
	default:
		return fmt.Sprintf("the lowest of %d prices", alike+1)
	}
}

// price is a bid in words: "4.10 USD each", "0.762 USD per ft (2.50 per m)".
func (x *Explained) price(b Bid) string {
	currency := string(b.Entry.Currency) + " "
	if isRate(x.Unit) {
		currency = ""
	}
	if b.Entry.Unit == x.Unit {
		return fmt.Sprintf("%s %s%s", b.Break.Price, currency, per(x.Unit))
	}
	return fmt.Sprintf("%s %s%s (%s %s)", figure(b.Price), currency, per(x.Unit), b.Break.Price, per(b.Entry.Unit))
}

// per is what a price is for; a rate is in its unit already.
func per(unit string) string {
	if unit == "each" || isRate(unit) {
		return unit
	}
	return "per " + unit
}

// PriceScale is the number of decimals of a converted price as it is told.
const PriceScale = 10

// figure is a converted price as it is told, half up where it does not end.
func figure(r *big.Rat) string {
	d, exact, err := money.FromRat(r, PriceScale)
	switch {
	case err != nil:
		return r.FloatString(PriceScale)
	case !exact:
		return d.String() + "..."
	default:
		return d.String()
	}
}

func from(b Break) string {
	if b.MinQuantity.IsZero() {
		return ""
	}
	return fmt.Sprintf(" from %s on", b.MinQuantity.Trim(0))
}

// supplier names who sells an entry; a book may leave it out.
func supplier(e Entry) string {
	if e.Supplier == "" {
		return "the supplier without a name"
	}
	return e.Supplier
}
