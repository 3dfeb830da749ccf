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
	// Staged names the rows of a list that a store has already, in place of
	// Entries.
	Staged string
	DryRun bool
	// Base, where set, is the revision an approved dry run was made against;
	// Conflict (BOOK_MOVED) if the book has moved since.
	Base *Revision
	// JumpLimit is the change of a price, in per cent, over which it is a jump
	// (Change.Jumps). 0 looks for none.
	JumpLimit decimal.Decimal
	// What is refused without consent: jumps, prices of zero (as Invalid), and
	// items sold by another unit or in another currency than before.
	AcceptJumps, AcceptZeroPrices, AcceptUnitChanges bool
	// RefuseUnknownItems refuses items that the book has never had.
	RefuseUnknownItems bool
}

// DefaultJumpLimit is the change of a price, in per cent, that most lists do
// not pass within a season: common practice.
var DefaultJumpLimit = decimal.MustNew(30, 0)

// Outcome is what an import did, or would do.
type Outcome struct {
	// Revision is the head after the import; unchanged where nothing changed.
	Head    Head
	Base    Revision
	Applied bool
	// Changes are the first MostChanges, in order of item, supplier, effective
	// date and office; Counts has all of them.
	Changes []Change
	Counts  Counts
	// Unchanged counts entries equal to the current state.
	Unchanged int
	// Notices: the first MostNotices of the changes that are jumps, of those to
	// another unit or currency and of withdrawals, in the same order, and of the
	// items that the book has never had.
	Jumps, UnitChanges, Withdrawals []Change
	UnknownItems                    []string
}

// What an outcome lists at most.
const (
	MostChanges = 1000
	MostNotices = 100
)

// Counts are how many changes an import makes of each kind, and how many of
// them are told apart as notices.
type Counts struct {
	Added, Repriced, Altered, Removed, Confirmed int
	Jumps, UnitChanges, UnknownItems             int
}

// Changes is the sum of all kinds.
func (c Counts) Changes() int { return c.Added + c.Repriced + c.Altered + c.Removed + c.Confirmed }

// Change is one difference an import makes.
type Change struct {
	Kind ChangeKind
	// Old is what held on New's effective date before; nil where nothing did.
	Old, New *Entry
	// Percent is the change of the first break's price, to 2 decimals, for a
	// Repriced entry; 0 where the old price is 0.
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
