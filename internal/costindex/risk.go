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

// Risk is how the past is drawn from. It makes no statement about the future: its
// bands are what the changes of one history give if they come again in blocks, in
// any order. Backtest says how often that was wrong.
//
// Here alone is floating point: each change is one division of two float64 and
// each path only multiplies them. There is no sum, so that no machine can join a
// product and a sum into one rounding, and the result is the same to the last bit
// on all of them; what is told of it is rounded to decimals.
type Risk struct {
	// Every is the grid of the history.
	Every Every
	// BlockLength is how many changes in a row are drawn at once; 0 is the cube
	// root of their number, rounded up.
	BlockLength int
	// Draws is the number of paths, 100 to 100,000; 0 is DefaultDraws. Draws times
	// steps of the longest horizon are at most 5,000,000.
	Draws int
	// Seed starts the generator (PCG). The same seed draws the same paths.
	Seed uint64
	// Horizons are in days, each up to MostDays; none is 30, 60 and 90. A
	// horizon is rounded up to whole steps of the grid, twelve months to 365 days.
	Horizons []int
}

const (
	// MostDays is the longest horizon.
	MostDays = 365
	// DefaultDraws is the number of paths of a Risk that does not say.
	DefaultDraws = 10_000
	// DefaultValidity is the most days of validity that are looked at unless more
	// are asked for.
	DefaultValidity = 90

	leastDraws, mostDraws, mostHorizons = 100, 100_000, 20
	// mostProducts bounds the memory of an assessment to some 40 MB.
	mostProducts = 5_000_000
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
	// steps are the multiples reached, by step (from 1, at index 0), then by draw.
	steps [][]float64
}
