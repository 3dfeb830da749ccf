package estimating

import (
	"time"

	"github.com/govalues/decimal"

	"wattle/internal/book"
	"wattle/internal/civil"
	"wattle/internal/money"
)

// Record is a stored quote: its canonical document, and the columns it is
// found by, each of which the document holds too, but for SavedSpec.
type Record struct {
	Company, ID, Office   string
	Customer, ExternalRef string
	CreatedAt             time.Time // UTC, to the microsecond
	AsOf, ValidUntil      civil.Date
	Head                  book.Head
	RulesVersion          int
	FingerprintVersion    int
	// Fingerprint is the SHA-256 of Document.
	Fingerprint [32]byte
	Currency    money.Currency
	Total       decimal.Decimal
	// SavedSpec is the entry and version of the catalogue that the spec was
	// taken from, cedar-privacy@3; empty where the request brought it. The
	// document has the spec itself.
	SavedSpec string
	Document  []byte
	// Items are those whose prices the quote asked for: what Document has too.
	// Only a record that is to be stored has them.
	Items []string
	// Life is where the quote stands; the one part that changes.
	Life Life
}
