package estimating

import (
	"context"
	"slices"
	"time"

	"wattle/internal/basket"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/money"
	"wattle/internal/quote"
)

// QuoteMix is quotes by the day they were made, UTC.
type QuoteMix struct {
	From, To civil.Date    // the window's
	States   []quote.State // accepted
	Office   string        // every one that the caller sees
}

// MostMixedQuotes is how many quotes are read for one answer.
const MostMixedQuotes = 2000

func (m QuoteMix) within(w CostWindow) QuoteMix {
	if m.From.IsZero() {
		m.From = w.From
	}
	if m.To.IsZero() {
		m.To = w.To
	}
	if len(m.States) == 0 {
		m.States = []quote.State{quote.Accepted}
	}
	return m
}

// MixedQuote is when a quote was made and what it buys.
type MixedQuote struct {
	At     time.Time
	Basket basket.Basket
}

func basketsOf(quotes []MixedQuote) []basket.Basket {
	all := make([]basket.Basket, len(quotes))
	for i, q := range quotes {
		all[i] = q.Basket
	}
	return all
}

// mixed are the quotes of a mix in the currency. More than MostMixedQuotes are
// Exhausted (QUOTES_TOO_MANY).
func (s *Service) mixed(ctx context.Context, company string, currency money.Currency, m QuoteMix) ([]MixedQuote, error) {
	filter := QuoteFilter{
		Company: company, Office: m.Office, States: m.States, Limit: 500,
		BeforeCreatedAt: m.To.AddDays(1).Time(),
	}
	made := make(map[string]time.Time)
	var ids []string
	for more := true; more; {
		page, err := s.Quotes.ListQuotes(ctx, filter)
		if err != nil {
			return nil, err
		}
		more = len(page) == filter.Limit
		for _, r := range page {
			filter.BeforeCreatedAt, filter.BeforeID = r.CreatedAt, r.ID
			if r.CreatedAt.Before(m.From.Time()) {
				more = false
				break
			}
			if r.Currency == currency {
				made[r.ID] = r.CreatedAt
				ids = append(ids, r.ID)
			}
		}
		if len(ids) > MostMixedQuotes {
			return nil, fault.New(fault.Exhausted, "QUOTES_TOO_MANY", "expected at most %d quotes from %v to %v; name fewer days, states or one office", MostMixedQuotes, m.From, m.To)
		}
	}
	var all []MixedQuote
	for part := range slices.Chunk(ids, documentsAtOnce) {
		documents, err := s.Impacts.QuoteDocuments(ctx, company, part)
		if err != nil {
			return nil, err
		}
		for _, id := range part {
			if err := alive(ctx); err != nil {
				return nil, err
			}
			_, q, err := quote.ParseDocument(documents[id])
			if err != nil {
				return nil, fault.Wrap(err, fault.Refused, "DOCUMENT_UNREADABLE", "the stored document of quote %s cannot be read", id)
			}
			all = append(all, MixedQuote{made[id], basket.OfQuote(q)})
		}
	}
	return all, nil
}
