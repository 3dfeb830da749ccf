// Package office is the tree of a company's offices: who stands under whom, and
// the settings that an office has or takes from the one above it.
package office

import (
	"github.com/govalues/decimal"

	"wattle/internal/book"
)

// Main is the root of every company's tree.
const Main = book.MainOffice

// Office is one node of the tree.
type Office struct {
	ID     string
	Parent string // empty for Main alone
	Title  string
	// Settings are the office's own; see Tree.Settings for what holds.
	Settings Settings
	// Removed: nobody works here any more. Its prices and quotes stay, for old
	// quotes to replay by; its keys are dead.
	Removed bool
	// Version counts the changes to the office, from 1.
	Version int64
}

// Settings are what an office decides for itself and those under it. What is
// not set is taken from the nearest office above that sets it.
type Settings struct {
	// TimeZone is an IANA name, such as America/Chicago: the office's days
	// begin and end there. UTC where no office sets one.
	TimeZone string
	// MarginFloor is the least profit, in percent of the price before tax, at
	// which a quote is issued without an approval. None where nil.
	MarginFloor *decimal.Decimal
	// StaleAfterDays is the age from which a price calls for a caution.
	StaleAfterDays *int
	// PreferredSuppliers are asked first, in this order; the cheapest where
	// empty.
	PreferredSuppliers []string
}

// or fills what s does not set from above.
func (s Settings) or(above Settings) Settings {
	if s.TimeZone == "" {
		s.TimeZone = above.TimeZone
	}
	if s.MarginFloor == nil {
		s.MarginFloor = above.MarginFloor
	}
	if s.StaleAfterDays == nil {
		s.StaleAfterDays = above.StaleAfterDays
	}
	if len(s.PreferredSuppliers) == 0 {
		s.PreferredSuppliers = above.PreferredSuppliers
	}
	return s
}
