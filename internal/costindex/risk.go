package costindex

import (
	"github.com/govalues/decimal"

	"wattle/internal/civil"
)

// Observation is a cost on one day of a regular grid: the last day of each month,
// week, or every day.
type Observation struct {
	On    civil.Date
	Value decimal.Decimal
	// Missing are the items without a price; where there is one, there is no
	// value.
	Missing []string
}

// Observed is the cost on the last day of each whole span of a series, on its way
// into Risk. The days before the first value are left out; later gaps stay in and
// are Assess's to refuse. It takes last values, not means, since the mean of a
// month smooths the very changes that are to be measured.
func Observed(samples []Sample) ([]Observation, error) { return nil, errUnbuilt }

// Risk is how the past is drawn from. It makes no statement about the future: its
// bands are what the changes of one history give if they come again in blocks, in
// any order. Backtest says how often that was wrong.
type Risk struct {
	// Every is the grid of the history.
	Every Every
	// BlockLength is how many changes in a row are drawn at once; 0 is the cube
	// root of their number, rounded up.
	BlockLength int
	// Draws is the number of paths; 0 is 10,000.
	Draws int
	Seed  uint64
	// Horizons are in days, each up to MostDays; none is 30, 60 and 90. A
	// horizon is rounded up to whole steps of the grid, twelve months to 365 days.
	Horizons []int
}

// MostDays is the longest horizon, DefaultDraws and the others what a Risk has
// that does not say.
const (
	MostDays     = 365
	DefaultDraws = 10_000
)

// Band is what cost came to after some days, over all draws, in multiples of the
// cost on the last day of the history, to 6 decimals.
//
// P5 to P95 are quantiles: in that many percent of the draws cost was at or under
// the figure. What is called the P80 band is from P20 to P80 (a fifth of the draws
// above it, a fifth below), and the P95 band from P5 to P95 (a twentieth on each
// side).
type Band struct {
	// Days was asked for, Steps is what it was rounded up to.
	Days, Steps            int
	P5, P20, P50, P80, P95 decimal.Decimal
	sorted                 []float64
}

// ProbabilityAbove is the part of the draws that came out above a multiple of the
// last cost, from 0 to 1, to 4 decimals.
func (b Band) ProbabilityAbove(multiple decimal.Decimal) decimal.Decimal { return decimal.Decimal{} }

// Assessment is the risk read off one history.
type Assessment struct {
	// Risk is what was asked for with every default filled in.
	Risk Risk
	// From and To are the first and last day of the history, Changes the number
	// of steps between, Moves how many of them were changes at all.
	From, To       civil.Date
	Changes, Moves int
	// Last is the cost on day To, the one which bands multiply.
	Last  decimal.Decimal
	Bands []Band
	steps [][]float64
}

// Assess draws from a history by the circular block bootstrap [Politis and Romano
// 1992] of its changes: the ratios of one value to the one before, so that a
// product of them is what a sum of log changes is.
//
// It is an error (Invalid) that lists everything wrong where the history is
// shorter than LeastChanges, has gaps, values that are not above 0, days off the
// grid, or no change in it at all, or where the Risk is out of range.
func (r Risk) Assess(history []Observation) (Assessment, error) { return Assessment{}, errUnbuilt }

// LeastChanges is the least number of changes that a history needs: a year of
// them. That is our choice; no year is like the next, and more is better.
func LeastChanges(every Every) int { return 0 }

// Validity is the longest time a price may stand, as far as a history tells.
type Validity struct {
	// Days is the longest, 0 where even one step of the grid breaks the limit.
	Days int
	// Chance is the part of the draws above the tolerance at that time, in
	// percent to 2 decimals; 0 where Days is.
	Chance decimal.Decimal
}

// Validity is the longest number of days, up to most, at which and before which
// the chance that cost has risen by more than tolerance is within risk, both in
// percent. most is at most the longest horizon or 90, whichever is more; 0 is 90.
func (a Assessment) Validity(tolerance, risk decimal.Decimal, most int) (Validity, error) {
	return Validity{}, errUnbuilt
}

// Contingency is the least percentage, to 2 decimals rounded up and not below 0,
// by which cost has risen more with a chance of no more than risk (in percent)
// when a number of days is over. days is as most of Validity.
func (a Assessment) Contingency(risk decimal.Decimal, days int) (decimal.Decimal, error) {
	return decimal.Decimal{}, errUnbuilt
}
