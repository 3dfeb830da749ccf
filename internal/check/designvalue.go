package check

import (
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/measure"
	"wattle/internal/timber"
)

// DesignValue is what a grade of lumber may be stressed to, in psi, from a date
// on. A figure of 0 was not seen.
type DesignValue struct {
	Species, Grade string
	// From is the first day it holds; the zero date is "ever before".
	From civil.Date
	// Narrowest and Widest are the nominal widths it serves, both sides of a
	// piece counted.
	Narrowest, Widest measure.Length
	Fb, Fv, E         decimal.Decimal
	Source, Edition   string
}

const southernPine = "southern pine"

var designValues = []DesignValue{
	{Species: southernPine, Grade: "No.2", Narrowest: 2 * measure.Inch, Widest: 4 * measure.Inch,
		Fb: psi(1500), Source: "Southern Pine No.2, 2-4 in wide, from memory", Edition: "before June 2012"},
	// That it began in June is from memory.
	{Species: southernPine, Grade: "No.2", From: civil.Date{Year: 2012, Month: 6, Day: 1}, Narrowest: 2 * measure.Inch, Widest: 4 * measure.Inch,
		Fb: psi(1050), Source: "AWC addendum, Southern Pine No.2, 2-4 in wide", Edition: "2012"},
	{Species: southernPine, Grade: "No.2", From: civil.Date{Year: 2013, Month: 6, Day: 1}, Narrowest: 2 * measure.Inch, Widest: 4 * measure.Inch,
		Fb: psi(1100), Fv: psi(175), E: psi(1_400_000),
		Source: "Southern Pine No.2, 2-4 in wide; MPa seen, psi from memory", Edition: "since 2013-06-01"},
}

// DesignValues are the stated values known here [WD-2], the earlier first. The
// slice is the caller's own.
func DesignValues() []DesignValue { return slices.Clone(designValues) }

// DesignValueOf is the value of a species and grade for a size on a date; not ok
// where none is known. A 6x6 is a timber with values of its own, and none is
// known here.
func DesignValueOf(species, grade string, size timber.Size, on civil.Date) (value DesignValue, ok bool) {
	thickness, width := size.Nominal()
	for _, row := range designValues {
		if row.Species == species && row.Grade == grade && !on.IsZero() && row.From.Compare(on) <= 0 &&
			min(thickness, width) >= row.Narrowest && max(thickness, width) <= row.Widest {
			value, ok = row, true
		}
	}
	return value, ok
}

func psi(n int64) decimal.Decimal { return decimal.MustNew(n, 0) }
