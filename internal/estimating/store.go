package estimating

import (
	"context"
	"time"

	"wattle/internal/book"
)

// RequestKey makes a mutating call idempotent: one successful answer per
// (Company, Principal, Method, RequestID).
type RequestKey struct {
	Company, Principal, Method, RequestID string
	// Hash is SHA-256 of the client's normalised request, before defaults.
	// The same RequestID with another Hash is AlreadyExists, reason
	// REQUEST_ID_REUSED.
	Hash [32]byte
}

// QuoteStore keeps quotes. Quotes are only ever added.
type QuoteStore interface {
	// QuoteByRequest is the quote an earlier call with this key made; NotFound
	// where there is none.
	QuoteByRequest(ctx context.Context, key RequestKey) (Record, error)
	// InsertQuote stores the quote and the key in one transaction. The loser
	// of a race gets the winner's record.
	InsertQuote(ctx context.Context, key RequestKey, r Record) (Record, error)
	// Quote is NotFound (QUOTE_NOT_FOUND) where there is none.
	Quote(ctx context.Context, company, id string) (Record, error)
	// ListQuotes is newest first, at most Limit records without Document.
	ListQuotes(ctx context.Context, f QuoteFilter) ([]Record, error)
}

// QuoteFilter selects quotes; empty fields select all.
type QuoteFilter struct {
	Company, ExternalRef, Customer string
	// Before continues a listing: records older than this one (CreatedAt, ID).
	BeforeCreatedAt time.Time
	BeforeID        string
	Limit           int
}

// PriceStore keeps the book.
type PriceStore interface {
	// Head of a company that never imported is revision 0.
	Head(ctx context.Context, company string) (book.Head, error)
	// HeadAt is the head as it was at a revision; Invalid (REVISION_UNKNOWN)
	// above the newest.
	HeadAt(ctx context.Context, company string, r book.Revision) (book.Head, error)
	// Resolve answers every item of the query, in item order, with one query.
	// A revision above the head is Invalid.
	Resolve(ctx context.Context, q book.Query) ([]book.Resolved, error)
	// Import adds a revision, or reports what it would change.
	Import(ctx context.Context, key RequestKey, in book.Import) (book.Outcome, error)
	// History lists entries of an item, newest revision first.
	History(ctx context.Context, q book.HistoryQuery) ([]book.Entry, error)
}
