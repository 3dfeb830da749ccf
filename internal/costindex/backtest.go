package costindex

import (
	"github.com/govalues/decimal"

	"wattle/internal/civil"
)

// Outcome is one band held against what came: made on Origin from the history up
// to it, for the cost Days later, on Target.
type Outcome struct {
	Origin, Target         civil.Date
	Days                   int
	P5, P20, P50, P80, P95 decimal.Decimal
	// Realised is the cost on Target in multiples of that on Origin, to 6
	// decimals.
	Realised decimal.Decimal
}

// Backtest rolls the origin through a history: at every day of the grid that has
// at least a number of changes before it, it assesses what was known by then and
// notes for each horizon what came. Outcomes are by origin, then by horizon.
//
// Its errors are Assess's, and (Invalid) a least number under LeastChanges or a
// history that leaves no outcome.
func Backtest(history []Observation, r Risk, least int) ([]Outcome, error) { return nil, errUnbuilt }

// Coverage counts outcomes of one horizon against one band.
type Coverage struct {
	Days int
	// Band is "P80" or "P95"; Nominal is the percentage that it holds by its own
	// making: 60 and 90.
	Band    string
	Nominal int
	// Inside counts outcomes on the band's edges too.
	Inside, Above, Below int
}

// Outcomes is how many there are.
func (c Coverage) Outcomes() int { return c.Inside + c.Above + c.Below }

// Percent is how many of them were inside, in percent to one decimal, half up; 0
// where there are none.
func (c Coverage) Percent() decimal.Decimal { return decimal.Decimal{} }

// Cover counts outcomes by horizon and band, those whose target lies from one day
// to another; a zero date is no limit.
func Cover(outcomes []Outcome, from, to civil.Date) []Coverage { return nil }
