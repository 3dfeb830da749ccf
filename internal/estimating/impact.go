package estimating

import (
	"context"
	"errors"
	"slices"
	"time"

	"github.com/govalues/decimal"

	"wattle/internal/auth"
	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/office"
	"wattle/internal/quote"
)

// ImpactStore keeps what a revision of the book does to the quotes that are open
// (draft or issued, and not past their last day). It is worked out after the
// import, in chunks: every step may be taken twice, by two processes at once, and
// has its effect once.
type ImpactStore interface {
	// AdvanceImpact takes the next step for the revision as a whole. Where no
	// chunk waits, it makes chunks and their jobs of the open quotes from before
	// the revision that ask for a price it lists and are in no chunk yet; where
	// there are none, it records the event that all is worked out.
	AdvanceImpact(ctx context.Context, company string, r book.Revision, now time.Time) error
	// ImpactChunk is the work of a chunk; false where it is done.
	ImpactChunk(ctx context.Context, company string, r book.Revision, chunk int, now time.Time) (ImpactWork, bool, error)
	// QuoteDocuments are the canonical documents of some quotes, by id.
	QuoteDocuments(ctx context.Context, company string, ids []string) (map[string][]byte, error)
	// RecordImpact stores what a chunk came to, once, and after the last chunk
	// the job that takes the next step.
	RecordImpact(ctx context.Context, company string, r book.Revision, chunk int, found []Impact) error
	// ImpactSummary is how far it is, and what it comes to in the quotes that
	// the caller sees; NotFound (IMPACT_NOT_FOUND) before it has begun.
	ImpactSummary(ctx context.Context, company string, r book.Revision) (ImpactSummary, error)
	// ListImpacts is by quote id, those after the named one.
	ListImpacts(ctx context.Context, company string, r book.Revision, after string, limit int) ([]Impact, error)
}

// Impact is what a revision does to one open quote.
type Impact struct {
	Quote, Office string
	Currency      money.Currency
	// Then is what the quote comes to at the revision before, Now at this one,
	// both by the quote's own rules on the day of the impact. Nil where it
	// cannot be priced.
	Then, Now *ImpactFigures
	// Missing are the items that have no price now, sorted; Reason is why there
	// is no Now, such as PRICES_MISSING.
	Missing []string
	Reason  string
}

// ImpactFigures are what a quote comes to.
type ImpactFigures struct{ Cost, Total decimal.Decimal }

// Difference is Now less Then; nil where one of them is missing.
func (i Impact) Difference() *ImpactFigures {
	if i.Then == nil || i.Now == nil {
		return nil
	}
	var c money.Calc // totals of quotes, whose difference has no more digits
	return &ImpactFigures{c.Sub(i.Now.Cost, i.Then.Cost), c.Sub(i.Now.Total, i.Then.Total)}
}

// ImpactSummary is what a revision does to all open quotes that the caller sees.
type ImpactSummary struct {
	Revision book.Revision
	AsOf     civil.Date
	DoneAt   time.Time // zero: not all is worked out yet
	// Moved quotes come to something else; Lost ones cannot be priced now.
	Moved, Lost int
	// Sums are over the moved quotes that are priced then and now, by currency.
	Sums []ImpactSum
	// Missing are the items without a price now, each with how many quotes ask
	// for it, by item.
	Missing []MissingItem
}

// ImpactSum is the change of all quotes in a currency, now less then.
type ImpactSum struct {
	Currency    money.Currency
	Quotes      int
	Cost, Total decimal.Decimal
}

// MissingItem is an item without a price that open quotes ask for.
type MissingItem struct {
	Item   string
	Quotes int
}

// ImpactWork is the open quotes of a chunk.
type ImpactWork struct {
	AsOf   civil.Date
	Tree   office.Tree
	Quotes []OpenQuote
}

// Path is the way from an office up to the root, for the search of prices.
func (w ImpactWork) Path(id string) []string { return auth.Caller{Tree: w.Tree}.Path(id) }

// OpenQuote is a quote with the items it asks prices for, sorted.
type OpenQuote struct {
	ID, Office   string
	Currency     money.Currency
	RulesVersion int
	Items        []string
}

// AdvanceImpact takes the next step of what a revision does, for a job.
func (s *Service) AdvanceImpact(ctx context.Context, company string, r book.Revision, now time.Time) error {
	return s.Impacts.AdvanceImpact(asService(ctx, company), company, r, now)
}

// documentsAtOnce bounds how many documents are held at once.
const documentsAtOnce = 20

// WorkImpact works out a chunk, for a job. Prices are resolved once for all its
// quotes of an office, and the documents of those alone are read that ask for a
// price the revision moved.
func (s *Service) WorkImpact(ctx context.Context, company string, r book.Revision, chunk int, now time.Time) error {
	ctx = asService(ctx, company)
	work, due, err := s.Impacts.ImpactChunk(ctx, company, r, chunk, now)
	if err != nil || !due {
		return err
	}
	markets, err := s.markets(ctx, company, r, work)
	if err != nil {
		return err
	}
	moved := slices.DeleteFunc(work.Quotes, func(q OpenQuote) bool { return !markets[q.market()].moves(q.Items) })
	var found []Impact
	for part := range slices.Chunk(moved, documentsAtOnce) {
		ids := make([]string, len(part))
		for i, q := range part {
			ids[i] = q.ID
		}
		documents, err := s.Impacts.QuoteDocuments(ctx, company, ids)
		if err != nil {
			return err
		}
		for _, q := range part {
			if err := alive(ctx); err != nil {
				return err
			}
			i, moves, err := markets[q.market()].impact(q, documents[q.ID])
			if err != nil {
				return err
			}
			if moves {
				found = append(found, i)
			}
		}
	}
	return s.Impacts.RecordImpact(ctx, company, r, chunk, found)
}

// place is where quotes see the same prices.
type place struct {
	office   string
	currency money.Currency
}

func (q OpenQuote) market() place { return place{q.Office, q.Currency} }

// market is the prices at a place, at the revision before and at this one.
type market struct{ then, now map[string]book.Resolved }

// markets resolves what the quotes ask for, with two queries for each place.
func (s *Service) markets(ctx context.Context, company string, r book.Revision, work ImpactWork) (map[place]market, error) {
	items := make(map[place][]string)
	for _, q := range work.Quotes {
		items[q.market()] = append(items[q.market()], q.Items...)
	}
	all := make(map[place]market, len(items))
	for at, asked := range items {
		slices.Sort(asked)
		query := book.Query{
			Company: company, Offices: work.Path(at.office), Items: slices.Compact(asked),
			AsOf: work.AsOf, Currency: at.currency,
		}
		var m market
		for _, side := range []struct {
			revision book.Revision
			prices   *map[string]book.Resolved
		}{{r - 1, &m.then}, {r, &m.now}} {
			query.Revision = side.revision
			resolved, _, err := s.Prices.Resolve(ctx, query)
			if err != nil {
				return nil, err
			}
			*side.prices = make(map[string]book.Resolved, len(resolved))
			for _, p := range resolved {
				(*side.prices)[p.Item] = p
			}
		}
		all[at] = m
	}
	return all, nil
}

func (m market) moves(items []string) bool {
	return slices.ContainsFunc(items, func(item string) bool { return !quote.SameOffers(m.then[item], m.now[item]) })
}

// impact is what a quote comes to then and now; false where that is the same.
func (m market) impact(q OpenQuote, document []byte) (Impact, bool, error) {
	i := Impact{Quote: q.ID, Office: q.Office, Currency: q.Currency}
	then := func(item string) book.Resolved { return m.then[item] }
	now := func(item string) book.Resolved { return m.now[item] }
	i.Missing = unpricedBy(now, q.Items)
	if err := quote.RulesSupported(q.RulesVersion); err != nil {
		return i, true, i.cannot(err)
	}
	r, stored, err := quote.ParseDocument(document)
	if err != nil {
		return i, true, i.cannot(fault.Wrap(err, fault.Refused, "DOCUMENT_UNREADABLE", "the stored document of quote %s cannot be read", q.ID))
	}
	at := func(prices func(string) book.Resolved) (*ImpactFigures, error) {
		asked := make([]book.Resolved, len(q.Items))
		for i, item := range q.Items {
			asked[i] = prices(item)
		}
		t, err := quote.AtPrices(r, stored, asked)
		if err != nil {
			return nil, err
		}
		return &ImpactFigures{t.Cost, t.Total}, nil
	}
	if i.Then, err = at(then); err != nil && !told(err) {
		return i, false, err
	}
	if i.Now, err = at(now); err != nil {
		lost := i.Then != nil || !slices.Equal(unpricedBy(then, q.Items), i.Missing)
		return i, lost, i.cannot(err)
	}
	return i, i.Then == nil || i.Then.Cost.Cmp(i.Now.Cost) != 0 || i.Then.Total.Cmp(i.Now.Total) != 0, nil
}

// told reports an error that is an answer: the quote cannot be priced.
func told(err error) bool {
	switch fault.KindOf(err) {
	case fault.Invalid, fault.Refused, fault.Exhausted:
		return true
	default:
		return false
	}
}

// cannot keeps why a quote cannot be priced, and gives back any other error.
func (i *Impact) cannot(err error) error {
	e, ok := errors.AsType[*fault.Error](err)
	if !ok || !told(err) {
		return err
	}
	i.Reason = e.Reason
	return nil
}

func unpricedBy(prices func(string) book.Resolved, items []string) []string {
	var missing []string
	for _, item := range items {
		if len(prices(item).Offers) == 0 {
			missing = append(missing, item)
		}
	}
	return missing
}

// PriceImpact is what a revision, the newest where nil, does to the open quotes
// that the caller sees.
func (s *Service) PriceImpact(ctx context.Context, company string, revision *book.Revision) (ImpactSummary, error) {
	head, err := s.headAt(ctx, company, revision)
	if err != nil {
		return ImpactSummary{}, err
	}
	return s.Impacts.ImpactSummary(ctx, company, head.Revision)
}

// PriceImpacts lists the quotes it moves by id, those after the named one.
func (s *Service) PriceImpacts(ctx context.Context, company string, r book.Revision, after string, limit int) ([]Impact, error) {
	return s.Impacts.ListImpacts(ctx, company, r, after, limit)
}
