package estimating

import (
	"context"
	"time"

	"wattle/internal/book"
	"wattle/internal/catalog"
	"wattle/internal/quote"
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

// QuoteStore keeps quotes. Quotes are only ever added; what changes is where they
// stand (LifeStore).
type QuoteStore interface {
	LifeStore
	// QuoteByRequest is the quote an earlier call with this key made; NotFound
	// where there is none.
	QuoteByRequest(ctx context.Context, key RequestKey) (Record, error)
	// InsertQuote stores the quote, a draft that stands alone, and the key in
	// one transaction. The loser of a race gets the winner's record.
	InsertQuote(ctx context.Context, key RequestKey, r Record) (Record, error)
	// Quote is NotFound (QUOTE_NOT_FOUND) where there is none.
	Quote(ctx context.Context, company, id string) (Record, error)
	// ListQuotes is newest first, at most Limit records without Document.
	ListQuotes(ctx context.Context, f QuoteFilter) ([]Record, error)
}

// QuoteFilter selects quotes; empty fields select all.
type QuoteFilter struct {
	Company, Office, ExternalRef, Customer string
	// Root is the first quote of a chain of revisions, OptionGroup that of those
	// offered side by side.
	Root, OptionGroup string
	States            []quote.State
	// UpdatedSince selects quotes that were made or changed their state then or
	// later.
	UpdatedSince time.Time
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
	// Resolve answers every item of the query, in item order, with one query, and
	// names the head that it answers at. A revision above the newest is Invalid.
	Resolve(ctx context.Context, q book.Query) ([]book.Resolved, book.Head, error)
	// Explain is Resolve with its reasons. Wishes are by item.
	Explain(ctx context.Context, q book.Query, wishes map[string]book.Wish) ([]book.Explained, book.Head, error)
	// VerifyBook hands the whole book, of every office whoever asks, and the heads
	// that quotes have seen to a verification, all of one moment, and answers its
	// report. Tell is asked after each block of rows; its error ends the call.
	VerifyBook(ctx context.Context, company string, v *book.Verification, tell func(VerifyProgress) error) (book.Report, error)
	// Import adds a revision, or reports what it would change. Staged rows that
	// contradict one another are Invalid (RowsClash).
	Import(ctx context.Context, key RequestKey, in book.Import) (book.Outcome, error)
	// History lists entries of an item, newest revision first.
	History(ctx context.Context, q book.HistoryQuery) ([]book.Entry, error)
	// Learned lists every entry that the query's answer on its date or an earlier
	// one may rest on, in any order; where there is a zone, each with the day on
	// which it was learned there. More than most of them are cut off after one
	// more.
	Learned(ctx context.Context, q book.Query, zone *time.Location, most int) ([]book.Learned, error)
	ImportStore
}

// SpecStore keeps the specs that companies save. Versions are only ever added.
type SpecStore interface {
	// SaveSpec stores the spec as the next version of its entry together with
	// the key, and reports true; where the newest version is the same, it
	// stores the key alone and answers that version. Of several saves of one
	// entry at once each sees what those before it stored.
	SaveSpec(ctx context.Context, key RequestKey, in SavedSpec) (SavedSpec, bool, error)
	// WithdrawSpec adds a version without a document in the same way.
	WithdrawSpec(ctx context.Context, key RequestKey, name string, at time.Time) (SavedSpec, bool, error)
	// Spec is a version of an entry, the newest where the ref names none;
	// NotFound (SPEC_NOT_FOUND) where there is none.
	Spec(ctx context.Context, company string, r catalog.Ref) (SavedSpec, error)
	// ListSpecs is by name, without Document: of each entry the newest
	// version, unless that is a withdrawal.
	ListSpecs(ctx context.Context, f SpecFilter) ([]SavedSpec, error)
	// ListSpecVersions is newest first, without Document; NotFound where there
	// is no such entry.
	ListSpecVersions(ctx context.Context, f VersionFilter) ([]SavedSpec, error)
}

// SpecFilter selects entries of the catalogue.
type SpecFilter struct {
	Company string
	// Standard adds the built-in entries, which come after the company's.
	Standard bool
	// After continues a listing: entries whose names come after this one.
	After string
	Limit int
}

// VersionFilter selects versions of one entry.
type VersionFilter struct {
	Company, Name string
	// Before continues a listing: versions under this one; 0 is no limit.
	Before int
	Limit  int
}
