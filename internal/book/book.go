// Package book is the company's price book: dated entries that are only ever
// added, and their resolution as of a date, a revision and an office.
package book

import (
	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/money"
)

// Revision numbers the states of a company's book: 0 is the empty book, each
// import that changes anything makes the next. It says when we learned a
// price; Entry.Effective says when it holds.
type Revision int64

// Newest, in a question, is the revision that the book has when it is answered.
const Newest Revision = -1

// At is the revision asked for, the newest where none is.
func At(r *Revision) Revision {
	if r == nil {
		return Newest
	}
	return *r
}

// Head is the newest state of a book. Hash covers every row of every revision
// up to it.
type Head struct {
	Revision Revision
	Hash     [32]byte
}

// MainOffice is the root of the office tree.
const MainOffice = "main"

// Entry is the whole table of quantity breaks for one item, office, supplier
// and effective date, as learned in one revision.
type Entry struct {
	Item, Office, Supplier string
	Effective              civil.Date
	Revision               Revision
	State                  State
	Description            string
	Currency               money.Currency
	// Unit is what Price is for; Pack the least number of units sold.
	Unit   string
	Pack   decimal.Decimal
	Breaks []Break // ascending MinQuantity, the first 0; empty unless Priced
}

// State is what an entry says about its item.
type State string

const (
	Priced    State = "priced"
	Withdrawn State = "withdrawn" // stop here: no price
	Inherit   State = "inherit"   // fall to the parent office
)

// Break is the price per unit from a quantity on.
type Break struct {
	MinQuantity decimal.Decimal
	Price       decimal.Decimal
}

// Query asks for the prices of items as they were known.
type Query struct {
	Company string
	// Offices is the path from the asking office up to the root.
	Offices  []string
	Items    []string
	AsOf     civil.Date
	Revision Revision // or Newest
	// Currency leaves out offers in another one; empty takes any.
	Currency money.Currency
}

// Resolved is the answer for one item: per supplier, the entry that won.
// Pick chooses between suppliers once the quantity is known.
type Resolved struct {
	Item   string
	Offers []Entry // Priced entries, one per supplier, by supplier name
	// Note says why there is no offer: "unknown item", "withdrawn on ...",
	// "first price from ...".
	Note string
}
