package estimating

import (
	"context"
	"slices"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/quote"
)

// Reprice asks what a stored quote comes to on another day.
type Reprice struct {
	Company, ID string
	AsOf        civil.Date     // today at the quote's office
	Revision    *book.Revision // the head
}

// RepriceQuote lays out, counts and prices the stored job again, by the newest
// rules, and says why it costs something else; it stores nothing. See
// quote.Reprice for what is Refused; a quote of rules that this program does not
// run is RULES_UNSUPPORTED.
func (s *Service) RepriceQuote(ctx context.Context, in Reprice) (quote.Repricing, error) {
	if err := alive(ctx); err != nil {
		return quote.Repricing{}, err
	}
	rec, err := s.Quotes.Quote(ctx, in.Company, in.ID)
	if err != nil {
		return quote.Repricing{}, err
	}
	if err := quote.RulesSupported(rec.RulesVersion); err != nil {
		return quote.Repricing{}, err
	}
	stored, err := decode(rec)
	if err != nil {
		return quote.Repricing{}, err
	}
	at := stored.Record.Office
	if in.AsOf.IsZero() {
		in.AsOf = s.today(ctx, at)
	}
	was, now := stored.Request, stored.Request.Renewed(in.AsOf)
	now.Offices = CallerOf(ctx).Path(at) // which may have moved since
	l, err := quote.Plan(now)
	if err != nil {
		return quote.Repricing{}, quote.NotRepriceable(err)
	}
	job := now.Job(l).Gather()
	if now.Prices, now.Head, err = s.pricesOf(ctx, now, book.At(in.Revision), job.Candidates()); err != nil {
		return quote.Repricing{}, err
	}
	if more := was.Unresolved(job); len(more) > 0 {
		// As the quote's office saw them then.
		known, _, err := s.pricesOf(asService(ctx, in.Company), was, was.Head.Revision, more)
		if err != nil {
			return quote.Repricing{}, err
		}
		was.Prices = slices.Concat(was.Prices, known)
	}
	if err := alive(ctx); err != nil {
		return quote.Repricing{}, err
	}
	out, err := quote.Reprice(was, stored.Quote, now, job)
	if err != nil {
		return quote.Repricing{}, err
	}
	return out, alive(ctx)
}

// pricesOf resolves items for a request, on its day and at a revision.
func (s *Service) pricesOf(ctx context.Context, r quote.Request, at book.Revision, items []string) ([]book.Resolved, book.Head, error) {
	return s.Prices.Resolve(ctx, book.Query{
		Company: r.Company, Offices: r.Offices, Items: items, AsOf: r.AsOf, Revision: at, Currency: r.Currency,
	})
}
