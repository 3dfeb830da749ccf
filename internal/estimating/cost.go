package estimating

import (
	"context"
	"slices"

	"wattle/internal/basket"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/quote"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// CostBasket is what is followed: one of Reference, Quotes and Items.
type CostBasket struct {
	Reference *ReferenceFence
	Quotes    *QuoteMix
	Items     *basket.Basket
	// Total follows work too, not material alone.
	Total bool
	// WithGates divides by the gates' spans too.
	WithGates bool
	Currency  money.Currency
}

// ReferenceFence is a fence to count, by the prices of a day, the window's last
// where it is zero.
type ReferenceFence struct {
	Site      site.Site
	Spec      spec.Spec
	CountedOn civil.Date
}

// CostWindow is days, and what was known on them.
type CostWindow struct {
	From civil.Date // DefaultCostYears before To
	To   civil.Date // today at the office
	// Then is with what was known on each day; else with what is known at the
	// revision.
	Then     bool
	Revision *book.Revision // the head
}

const (
	// DefaultCostYears is how far back costs are followed where nobody says.
	DefaultCostYears = 5
	// MostCostYears is how far back they may be followed.
	MostCostYears = 20
	// MostLearned is how many entries of the book are read for one answer.
	MostLearned = 250_000
)

// Followed is a basket and what it was offered at, at one office.
type Followed struct {
	Office   string
	Currency money.Currency
	Head     book.Head
	Basket   basket.Basket
	// Length is what cost is divided by.
	Length measure.Length
	Market basket.Market
	// Mixed are the quotes that the basket comes from.
	Mixed []MixedQuote
	// CountedOn is the day by whose prices a reference fence was counted.
	CountedOn civil.Date
}

// FollowCost makes the basket and looks up what it was offered at, at an office,
// the caller's own where that is empty. Where a reference fence cannot be priced
// on the day it is counted on, that is Refused (PRICES_MISSING).
func (s *Service) FollowCost(ctx context.Context, company, at string, b CostBasket, w CostWindow) (Followed, error) {
	f, w, err := s.costWindow(ctx, company, at, w)
	if err != nil {
		return f, err
	}
	f.Currency = b.Currency
	if err := s.fillBasket(ctx, &f, company, b, w); err != nil {
		return f, err
	}
	return f, s.fillMarket(ctx, &f, company, w)
}

// costWindow fills what the caller leaves open, and is Invalid where days are out
// of order or too many.
func (s *Service) costWindow(ctx context.Context, company, at string, w CostWindow) (Followed, CostWindow, error) {
	var f Followed
	if err := alive(ctx); err != nil {
		return f, w, err
	}
	at, err := readsAt(ctx, company, at)
	if err != nil {
		return f, w, err
	}
	if w.To.IsZero() {
		w.To = s.today(ctx, at)
	}
	if w.From.IsZero() {
		w.From = yearsBefore(w.To, DefaultCostYears)
	}
	v := &fault.List{}
	window := v.At("window")
	window.Require(w.From.Compare(w.To) <= 0, "from", "expected a day not after the last, %v, found %v", w.To, w.From)
	window.Require(w.From.Compare(yearsBefore(w.To, MostCostYears)) >= 0, "from", "expected at most %d years before the last day, %v, found %v", MostCostYears, w.To, w.From)
	if err := v.Err(); err != nil {
		return f, w, err
	}
	f.Office, f.Market.Window = at, book.Window{From: w.From, To: w.To}
	f.Head, err = s.headAt(ctx, company, w.Revision)
	return f, w, err
}

func yearsBefore(d civil.Date, years int) civil.Date { return civil.Of(d.Time().AddDate(-years, 0, 0)) }

func (s *Service) fillBasket(ctx context.Context, f *Followed, company string, b CostBasket, w CostWindow) error {
	var err error
	switch {
	case b.Items != nil:
		f.Basket = *b.Items
		f.Basket.Lines = slices.Clone(b.Items.Lines) // descriptions are filled in below
		v := &fault.List{}
		f.Basket.Validate(v.At("basket").At("items"))
		err = v.Err()
	case b.Quotes != nil:
		if f.Mixed, err = s.mixed(ctx, company, b.Currency, b.Quotes.within(w)); err == nil {
			f.Basket, err = basket.Sum(basketsOf(f.Mixed)...)
		}
	default:
		err = s.fillReference(ctx, f, company, *b.Reference, w)
	}
	if err != nil {
		return err
	}
	if !b.Total {
		f.Basket = f.Basket.Material()
	}
	if f.Length = f.Basket.Fence; b.WithGates {
		f.Length += f.Basket.Gates
	}
	if f.Length <= 0 || len(f.Basket.Lines) == 0 {
		return fault.New(fault.Refused, "BASKET_EMPTY", "there is nothing in the basket to follow: %d items for %v of fence", len(f.Basket.Lines), f.Length)
	}
	return nil
}

func (s *Service) fillReference(ctx context.Context, f *Followed, company string, ref ReferenceFence, w CostWindow) error {
	if f.CountedOn = ref.CountedOn; f.CountedOn.IsZero() {
		f.CountedOn = w.To
	}
	r, job, err := s.resolve(ctx, CreateQuote{
		Key: RequestKey{Company: company}, Office: f.Office, Currency: f.Currency, AsOf: f.CountedOn,
		Revision: &f.Head.Revision, Site: ref.Site, Spec: ref.Spec,
	})
	if err != nil {
		return err
	}
	q, err := quote.PriceJob(r, job)
	if err != nil {
		return err
	}
	f.Basket = basket.OfQuote(q)
	return alive(ctx)
}

func (s *Service) fillMarket(ctx context.Context, f *Followed, company string, w CostWindow) error {
	q := book.Query{
		Company: company, Offices: CallerOf(ctx).Path(f.Office), Items: f.Basket.Items(),
		AsOf: w.To, Revision: f.Head.Revision, Currency: f.Currency,
	}
	settings := CallerOf(ctx).Tree.Settings(f.Office)
	zone := Zone(settings)
	if !w.Then {
		zone = nil
	}
	entries, err := s.Prices.Learned(ctx, q, zone, MostLearned)
	if err != nil {
		return err
	}
	if len(entries) > MostLearned {
		return fault.New(fault.Exhausted, "HISTORY_TOO_LONG", "the history of the %d items up to %v has more than %d entries; follow fewer items", len(q.Items), w.To, MostLearned)
	}
	byItem := make(map[string][]book.Learned, len(q.Items))
	for _, e := range entries {
		byItem[e.Item] = append(byItem[e.Item], e)
	}
	f.Market.Preferred = settings.PreferredSuppliers
	f.Market.Spans = make(map[string][]book.Span, len(q.Items))
	for _, item := range q.Items {
		f.Market.Spans[item] = book.Timeline(item, byItem[item], q, f.Market.Window, w.Then)
	}
	for i, l := range f.Basket.Lines {
		if l.Description == "" {
			f.Basket.Lines[i].Description = described(l.Item, f.Market.Spans[l.Item])
		}
	}
	return alive(ctx)
}

// described is what the book calls an item last, its name where it never does.
func described(item string, spans []book.Span) string {
	for _, span := range slices.Backward(spans) {
		for _, e := range span.Offers {
			if e.Description != "" {
				return e.Description
			}
		}
	}
	return item
}

// Series is the cost per foot of what is followed.
func (f Followed) Series() (costindex.Series, error) { return f.Market.Series(f.Basket, f.Length) }
