package book

import "github.com/govalues/decimal"

// Mode is what an import does with items it does not mention.
type Mode string

const (
	// Patch adds and changes; absent items keep their entries.
	Patch Mode = "patch"
	// Replace also withdraws every item of the same office and supplier that
	// the file does not mention, from the latest effective date that the file
	// has for the two.
	Replace Mode = "replace"
)

// Import is a checked price list on its way into the book.
type Import struct {
	// Office is that of every entry that names none; MainOffice where empty.
	Company, Office string
	Mode            Mode
	// Entries carry no revision yet, in any order.
	Entries []Entry
	DryRun  bool
	// Base, where set, is the revision an approved dry run was made against;
	// Conflict (BOOK_MOVED) if the book has moved since.
	Base *Revision
}

// Outcome is what an import did, or would do.
type Outcome struct {
	// Revision is the head after the import; unchanged where nothing changed.
	Head    Head
	Base    Revision
	Applied bool
	Changes []Change // in order of item, supplier, effective date
	// Unchanged counts rows equal to the current state.
	Unchanged int
}

// Change is one difference an import makes.
type Change struct {
	Kind ChangeKind
	// Old is what held on New's effective date before; nil where nothing did.
	Old, New *Entry
	// Percent is the change of the first break's price, to 2 decimals, for a
	// Repriced entry.
	Percent decimal.Decimal
}

// ChangeKind is what happened to an item.
type ChangeKind string

const (
	Added    ChangeKind = "added"
	Repriced ChangeKind = "repriced"
	Altered  ChangeKind = "altered" // pack, unit, currency, description, state or a later break
	Removed  ChangeKind = "withdrawn"
	// Confirmed is the same content from another date.
	Confirmed ChangeKind = "confirmed"
)

// HistoryQuery asks for an item's entries as known at Revision.
type HistoryQuery struct {
	Company, Item string
	Offices       []string
	Revision      Revision
	Limit         int
}
