package costindex

import (
	"fmt"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
)

// Step is what each part cost from a day on, until the next step.
type Step struct {
	From civil.Date
	// Parts are the values of Series.Parts, in their order; nil in a gap.
	Parts []decimal.Decimal
	// Missing are the items without a price. Where there is one, there is no
	// value: the step is a gap.
	Missing []string
}

// Gap reports whether the step has no value.
func (s Step) Gap() bool { return len(s.Missing) > 0 }

// Series is a value over time that changes in steps and has parts which add up
// to it: posts, rails and boards of a fence, in money per foot.
type Series struct {
	// Parts are the names of the parts. One part is a plain series.
	Parts []string
	// Steps are from early to late, each on a day of its own.
	Steps []Step
	// To is the last day of the series; it belongs to it.
	To civil.Date
}

// Every is a span of the calendar.
type Every int

const (
	Day Every = iota
	// Week is from Monday to Sunday [ISO 8601].
	Week
	// Month is a calendar month.
	Month
)

var everyNames = [...]string{"day", "week", "month"}

func (e Every) String() string {
	if e < 0 || int(e) >= len(everyNames) {
		return fmt.Sprintf("span %d", int(e))
	}
	return everyNames[e]
}

// MeanDecimals is the number of decimals of a mean.
const MeanDecimals = 4

// Sample is one day, week or month of a series.
type Sample struct {
	// From and To are the first and the last day, cut to the series: the first
	// sample may begin and the last may end inside its week or month.
	From, To civil.Date
	// Whole is whether the span lies wholly in the series.
	Whole bool
	// Mean is the mean over the days that have a value, by part, to MeanDecimals.
	// The parts' means add up to the mean of the whole: what rounding leaves over
	// goes to the largest remainders. Nil where no day has a value.
	Mean []decimal.Decimal
	// Last is the value of day To, by part, as it was given; nil where that day
	// is in a gap.
	Last []decimal.Decimal
	// DaysKnown of Days have a value.
	DaysKnown, Days int
	// Missing are the items without a price on any day of the sample, sorted.
	Missing []string
}
