// Package actuals holds what finished jobs used against what was estimated: of
// one job line by line, of many their sums, their spread, and the factor that
// would have made the estimates right.
package actuals

import (
	"cmp"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/money"
	"wattle/internal/takeoff"
)

// Kind is what a line is about.
type Kind string

const (
	// Material is something bought, hired or hauled, by its price-book item.
	Material Kind = "material"
	// Task is the hours of one kind of work.
	Task Kind = "task"
	// Labour is the hours of the whole job, by the item they are bought by.
	Labour Kind = "labour"
)

// Kinds lists every kind, in the order of lines.
func Kinds() []Kind { return []Kind{Material, Task, Labour} }

// HoursOf says whose hours are counted.
type HoursOf string

const (
	// Crew is labour by fence: an hour of all of the crew.
	Crew HoursOf = "crew"
	// Person is labour by tasks: an hour of one person.
	Person HoursOf = "person"
)

// Line is one thing that was estimated, used, or both, in one unit.
type Line struct {
	Kind     Kind
	Name     string // an item, or a task
	Category takeoff.Category
	Unit     string
	// Estimated is what the quote ordered, waste and whole packs included, or
	// the hours it counted; Actual is what was used. Nil where there is none.
	Estimated, Actual *decimal.Decimal
	// EstimatedCost is the quote's line's, Paid what was paid; nil where that is
	// not known.
	EstimatedCost, Paid *decimal.Decimal
	// Rates are those that estimated hours rest on, each once.
	Rates []takeoff.Rate
}

// Compared reports whether a line counts in a ratio: it was estimated as more
// than nothing, and what was used is known.
func (l Line) Compared() bool { return l.Estimated != nil && l.Estimated.IsPos() && l.Actual != nil }

// compareLines orders lines by kind, then by name.
func compareLines(a, b Line) int {
	return cmp.Or(cmp.Compare(slices.Index(Kinds(), a.Kind), slices.Index(Kinds(), b.Kind)), strings.Compare(a.Name, b.Name))
}

// Ratio is actual over estimated to scale decimals, half up. The estimate is over
// zero.
func Ratio(actual, estimated decimal.Decimal, scale int) (decimal.Decimal, error) {
	r := money.Rat(actual)
	d, _, err := money.FromRat(r.Quo(r, money.Rat(estimated)), scale)
	return d, err
}
