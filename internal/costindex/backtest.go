package costindex

import (
	"math/big"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/money"
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

// mostWalked bounds what a backtest costs, in steps of paths: some seconds.
const mostWalked = 1_000_000_000

// Backtest rolls the origin through a history: at every day of the grid that has
// at least a number of changes before it (0 is LeastChanges), it assesses what was
// known by then and notes for each horizon what came. Outcomes are by origin, then
// by horizon. Origins are left out where no value had changed by then, since
// Assess refuses them.
//
// Its errors are Assess's, and (Invalid) a least number under LeastChanges, a
// history that leaves no outcome, or more paths than 1,000,000,000 steps.
func Backtest(history []Observation, r Risk, least int) ([]Outcome, error) {
	v := &fault.List{}
	r.validate(v)
	if err := v.Err(); err != nil {
		return nil, err
	}
	ratios, _ := changes(history, r.Every, v)
	if least == 0 {
		least = LeastChanges(r.Every)
	}
	v.Require(least >= LeastChanges(r.Every), "least", "%d changes; at least %d are needed, a year of them", least, LeastChanges(r.Every))
	v.Require(r.BlockLength <= least, "block_length", "%d changes in a row; the shortest history has %d", r.BlockLength, least)
	if err := v.Err(); err != nil {
		return nil, err
	}
	horizons := r.filled(least).Horizons
	shortest, longest := r.Every.steps(slices.Min(horizons)), r.Every.steps(slices.Max(horizons))
	origins := len(history) - shortest - least
	v.Require(origins > 0, "history", "%d values leave none to hold a band against, %d changes and %d steps on", len(history), least, shortest)
	walked := max(0, origins) * longest * r.filled(least).Draws
	v.Require(walked <= mostWalked, "draws", "%d steps to walk; at most %d, so draw less or from a coarser grid", walked, mostWalked)
	if err := v.Err(); err != nil {
		return nil, err
	}
	var outcomes []Outcome
	moved := false
	for origin := range len(history) - shortest {
		moved = moved || origin > 0 && history[origin].Value.Cmp(history[origin-1].Value) != 0
		if origin < least || !moved {
			continue
		}
		known := r.filled(origin)
		bands, err := known.bands(known.draw(ratios[:origin], longest))
		if err != nil {
			return nil, err
		}
		for _, b := range bands {
			target := origin + b.Steps
			if target >= len(history) {
				continue
			}
			o := Outcome{
				Origin: history[origin].On, Target: history[target].On, Days: b.Days,
				P5: b.P5, P20: b.P20, P50: b.P50, P80: b.P80, P95: b.P95,
			}
			came := new(big.Rat).Quo(money.Rat(history[target].Value), money.Rat(history[origin].Value))
			if o.Realised, err = decimalOf(came, multipleDecimals); err != nil {
				return nil, err
			}
			outcomes = append(outcomes, o)
		}
	}
	v.Require(len(outcomes) > 0, "history", "no value of it differs from the one before where a band could be held against it")
	return outcomes, v.Err()
}

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
func (c Coverage) Percent() decimal.Decimal {
	return percent(decimal.MustNew(int64(c.Inside), 0), decimal.MustNew(int64(c.Outcomes()), 0))
}

func (c *Coverage) count(realised, low, high decimal.Decimal) {
	switch {
	case realised.Cmp(high) > 0:
		c.Above++
	case realised.Cmp(low) < 0:
		c.Below++
	default:
		c.Inside++
	}
}

// Cover counts outcomes by horizon, the shortest first, and band, those whose
// target lies from one day to another; a zero date is no limit. Every horizon has
// its rows, counts of 0 among them.
func Cover(outcomes []Outcome, from, to civil.Date) []Coverage {
	var horizons []int
	for _, o := range outcomes {
		horizons = append(horizons, o.Days)
	}
	slices.Sort(horizons)
	var all []Coverage
	for _, days := range slices.Compact(horizons) {
		p80, p95 := Coverage{Days: days, Band: "P80", Nominal: 60}, Coverage{Days: days, Band: "P95", Nominal: 90}
		for _, o := range outcomes {
			outside := o.Target.Compare(from) < 0 || !to.IsZero() && o.Target.Compare(to) > 0
			if o.Days != days || outside {
				continue
			}
			p80.count(o.Realised, o.P20, o.P80)
			p95.count(o.Realised, o.P5, o.P95)
		}
		all = append(all, p80, p95)
	}
	return all
}
