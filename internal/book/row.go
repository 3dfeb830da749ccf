package book

import (
	"fmt"
	"iter"
)

// Row is one row of a price list: one quantity break of an entry, or an entry
// without a price. The rows of one item, office, supplier and effective date
// make one entry together.
type Row struct {
	// Line is where the row stands: in a file the line, from 1, of records the
	// position, from 0.
	Line int
	// Entry is the row's part of the entry, in the form that is stored, its
	// Breaks left out.
	Entry Entry
	Break Break // means nothing unless Entry is Priced
	// Spoilt: something is wrong with the row beside its place in the book. It
	// is known only so that nothing is said of what its entry lacks.
	Spoilt bool
}

// Rows are the rows of the entries, an entry's place in the list for their
// line.
func (in Import) Rows() iter.Seq[Row] {
	return func(yield func(Row) bool) {
		for i, e := range in.Entries {
			e = e.normal(in.Office)
			breaks := e.Breaks
			if e.State != Priced {
				breaks = make([]Break, 1)
			}
			e.Breaks = nil
			for _, b := range breaks {
				if !yield(Row{Line: i, Entry: e, Break: b}) {
					return
				}
			}
		}
	}
}

// Clash is something wrong with a row, or an entry, because of other rows of
// the same item, office, supplier and effective date.
type Clash struct {
	Kind ClashKind
	Line int
	// Other is the line of the row that it clashes with; of TooManyBreaks how
	// many there are.
	Other int
}

// ClashKind is what rows cannot be to one another.
type ClashKind string

const (
	// SameEntry: two rows, and one of them has no price.
	SameEntry ClashKind = "entry"
	// SameQuantity: two rows for one least quantity.
	SameQuantity ClashKind = "quantity"
	// The row says another thing than the entry's first.
	OtherDescription ClashKind = "description"
	OtherUnit        ClashKind = "unit"
	OtherPack        ClashKind = "pack"
	OtherCurrency    ClashKind = "currency"
	// NoFirstBreak: no row of the entry holds from quantity 0. Line is that of
	// the entry's first row.
	NoFirstBreak ClashKind = "first break"
	// TooManyBreaks: over MaxBreaks. Line is that of the entry's first row.
	TooManyBreaks ClashKind = "breaks"
)

// Clashes are what is wrong between the rows of a list: the first ones, and how
// many there are.
type Clashes struct {
	First []Clash
	Count int
}

// column is where the clash shows; none for what an entry lacks.
func (k ClashKind) column() int {
	switch k {
	case SameEntry, SameQuantity:
		return colItem
	case OtherDescription:
		return colDescription
	case OtherUnit:
		return colUnit
	case OtherPack:
		return colPack
	case OtherCurrency:
		return colCurrency
	default:
		return noColumn
	}
}

// words say it; other is the place of the row that it clashes with.
func (c Clash) words(other string) string {
	switch c.Kind {
	case SameEntry:
		return "the same item, office, supplier and effective date as " + other
	case SameQuantity:
		return "the same item, office, supplier, effective date and min_quantity as " + other
	case NoFirstBreak:
		return "this item, office, supplier and effective date has no row with min_quantity 0, so a small order has no price"
	case TooManyBreaks:
		return fmt.Sprintf("expected at most %d rows for one item, office, supplier and effective date, found %d", MaxBreaks, c.Other)
	default:
		return "differs from " + other + ", which is the same item, office, supplier and effective date"
	}
}
