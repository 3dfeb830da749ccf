package estimating

import (
	"context"

	"wattle/internal/book"
	"wattle/internal/civil"
)

// ImportPrices adds a price list to the book, or with DryRun says what it
// would change.
func (s *Service) ImportPrices(ctx context.Context, key RequestKey, in book.Import) (book.Outcome, error) {
	if err := alive(ctx); err != nil {
		return book.Outcome{}, err
	}
	at, err := writesAt(ctx, key.Company, "header.office", in.Office)
	if err != nil {
		return book.Outcome{}, err
	}
	in.Office = at
	named := map[string]bool{"": true, at: true}
	for _, e := range in.Entries {
		if named[e.Office] {
			continue
		}
		named[e.Office] = true
		if _, err := CallerOf(ctx).Writes("office", e.Office); err != nil {
			return book.Outcome{}, err
		}
	}
	return s.Prices.Import(ctx, key, in)
}

// ResolvePrices answers what each item cost as of a date, as known at a
// revision (the head where nil).
func (s *Service) ResolvePrices(ctx context.Context, q book.Query, revision *book.Revision) ([]book.Resolved, book.Head, error) {
	q.Revision = book.At(revision)
	return s.Prices.Resolve(ctx, q)
}

// ExplainPrices is ResolvePrices with its reasons. Wishes are by item.
func (s *Service) ExplainPrices(ctx context.Context, q book.Query, wishes map[string]book.Wish, revision *book.Revision) ([]book.Explained, book.Head, error) {
	q.Revision = book.At(revision)
	return s.Prices.Explain(ctx, q, wishes)
}

// VerifyProgress is how far a verification is.
type VerifyProgress struct {
	Revision, Newest book.Revision
	// Entries are the rows read, Total those that the revisions brought.
	Entries, Total int64
}

// VerifyHistory computes every hash of the book anew and says what is wrong.
// Expected heads are known from outside.
func (s *Service) VerifyHistory(ctx context.Context, company string, expected []book.Head, tell func(VerifyProgress) error) (book.Report, error) {
	if err := alive(ctx); err != nil {
		return book.Report{}, err
	}
	return s.Prices.VerifyBook(ctx, company, book.NewVerification(company, expected), tell)
}

// PriceHistory lists an item's entries, newest first, as known at a revision
// (the head where nil).
func (s *Service) PriceHistory(ctx context.Context, q book.HistoryQuery, revision *book.Revision) ([]book.Entry, error) {
	head, err := s.headAt(ctx, q.Company, revision)
	if err != nil {
		return nil, err
	}
	q.Revision = head.Revision
	return s.Prices.History(ctx, q)
}

// PricesAt is where and when prices are asked for: the way up from the office
// (the caller's own where empty), and today where the date is zero.
func (s *Service) PricesAt(ctx context.Context, company, at string, on civil.Date) ([]string, civil.Date, error) {
	at, err := readsAt(ctx, company, at)
	if err != nil {
		return nil, on, err
	}
	if on.IsZero() {
		on = s.today(ctx, at)
	}
	return CallerOf(ctx).Path(at), on, nil
}

func (s *Service) headAt(ctx context.Context, company string, revision *book.Revision) (book.Head, error) {
	if revision == nil {
		return s.Prices.Head(ctx, company)
	}
	return s.Prices.HeadAt(ctx, company, *revision)
}
