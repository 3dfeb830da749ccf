package costindex

import (
	"math"
	"math/big"
	"math/bits"
	"math/rand/v2"
	"slices"
	"sort"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/money"
)

// Assess draws from a history by the circular block bootstrap [Politis and Romano
// 1992, from memory] of its changes: the ratios of one value to the one before, so
// that a product of them is what a sum of log changes is. Blocks are drawn from
// the changes as on a ring, the first after the last, so that none comes up more
// often than another.
//
// It is an error (Invalid) that lists everything wrong where the history is
// shorter than LeastChanges, has gaps, values that are not above 0, days off the
// grid, or no change in it at all, or where the Risk is out of range; and
// (Exhausted, AMOUNT_OUT_OF_RANGE) where paths leave what a decimal holds.
func (r Risk) Assess(history []Observation) (Assessment, error) {
	v := &fault.List{}
	r.validate(v)
	if err := v.Err(); err != nil {
		return Assessment{}, err
	}
	ratios, moves := changes(history, r.Every, v)
	r = r.filled(len(ratios))
	v.Require(r.BlockLength <= max(1, len(ratios)) || v.Len() > 0, "block_length", "%d changes in a row; the history has %d", r.BlockLength, len(ratios))
	v.Require(moves > 0 || v.Len() > 0, "history", "no value of it differs from the one before, so that it says nothing about change")
	most := r.Every.steps(max(DefaultValidity, slices.Max(r.Horizons)))
	v.Require(r.Draws*most <= mostProducts, "draws", "%d draws of %d steps; at most %d in all", r.Draws, most, mostProducts)
	if err := v.Err(); err != nil {
		return Assessment{}, err
	}
	last := history[len(history)-1]
	a := Assessment{
		Risk: r, From: history[0].On, To: last.On, Changes: len(ratios), Moves: moves, Last: last.Value,
		steps: r.draw(ratios, most),
	}
	var err error
	a.Bands, err = r.bands(a.steps)
	return a, err
}

func (r Risk) validate(v *fault.List) {
	v.Require(r.Every >= 0 && int(r.Every) < len(everyNames), "every", "%v is none; expected day, week or month", r.Every)
	v.Require(r.BlockLength >= 0, "block_length", "%d; expected 1 or more, or 0 for the usual", r.BlockLength)
	v.Require(r.Draws == 0 || r.Draws >= leastDraws && r.Draws <= mostDraws, "draws", "%d; expected %d to %d", r.Draws, leastDraws, mostDraws)
	v.Require(len(r.Horizons) <= mostHorizons, "horizons", "%d of them; at most %d", len(r.Horizons), mostHorizons)
	for i, days := range r.Horizons {
		v.At("horizons").Index(i).Require(days >= 1 && days <= MostDays, "", "%d days; expected 1 to %d", days, MostDays)
	}
}

// filled is r with every default.
func (r Risk) filled(changes int) Risk {
	if r.BlockLength == 0 {
		// The cube root is the order that serves best [Hall, Horowitz and Jing 1995,
		// from memory]; the factor 1 is our choice.
		for r.BlockLength = 1; r.BlockLength*r.BlockLength*r.BlockLength < changes; {
			r.BlockLength++
		}
	}
	if r.Draws == 0 {
		r.Draws = DefaultDraws
	}
	if len(r.Horizons) == 0 {
		r.Horizons = []int{30, 60, 90}
	}
	return r
}

// stream is the generator's second seed: which of PCG's sequences is drawn from.
const stream = 0x77617474

// draw walks every path and notes what multiple of the last cost it has reached,
// by step (from 1, at index 0), then by draw.
func (r Risk) draw(ratios []float64, most int) [][]float64 {
	steps := make([][]float64, most)
	for s := range steps {
		steps[s] = make([]float64, r.Draws)
	}
	generator := rand.NewPCG(r.Seed, stream)
	for d := range r.Draws {
		multiple, at := 1.0, 0
		for s := range steps {
			if s%r.BlockLength == 0 {
				// The high half of a product spreads 64 bits over the ring evenly, up
				// to one part in 2^64 for each change.
				hi, _ := bits.Mul64(generator.Uint64(), uint64(len(ratios)))
				at = int(hi)
			}
			multiple *= ratios[at]
			steps[s][d] = multiple
			if at++; at == len(ratios) {
				at = 0
			}
		}
	}
	return steps
}

func (r Risk) bands(steps [][]float64) ([]Band, error) {
	bands := make([]Band, len(r.Horizons))
	for i, days := range r.Horizons {
		b := Band{Days: days, Steps: r.Every.steps(days)}
		b.sorted = slices.Sorted(slices.Values(steps[b.Steps-1]))
		for _, q := range []struct {
			percent int
			to      *decimal.Decimal
		}{{5, &b.P5}, {20, &b.P20}, {50, &b.P50}, {80, &b.P80}, {95, &b.P95}} {
			var err error
			if *q.to, err = multiple(quantile(b.sorted, q.percent)); err != nil {
				return nil, err
			}
		}
		bands[i] = b
	}
	return bands, nil
}

// quantile is the least of sorted draws that so many percent are at or under.
func quantile(sorted []float64, percent int) float64 {
	return sorted[(percent*len(sorted)+99)/100-1]
}

// multipleDecimals are those of a multiple of the last cost.
const multipleDecimals = 6

func multiple(x float64) (decimal.Decimal, error) {
	if math.IsInf(x, 0) {
		return decimal.Decimal{}, fault.New(fault.Exhausted, "AMOUNT_OUT_OF_RANGE", "the history's changes lead to more than a number holds")
	}
	return decimalOf(new(big.Rat).SetFloat64(x), multipleDecimals)
}

// hair is what a product of a few hundred floats may be over the truth. A draw that
// is above a limit by less is not above it.
const hair = 1.0 / (1 << 40)

// above is how many of sorted draws are above a limit.
func above(sorted []float64, limit *big.Rat) int {
	x, _ := limit.Float64()
	x *= 1 + hair
	return len(sorted) - sort.Search(len(sorted), func(i int) bool { return sorted[i] > x })
}

// ProbabilityAbove is the part of the draws that came out above a multiple of the
// last cost, from 0 to 1, to 4 decimals, half up; 0 for the zero Band.
func (b Band) ProbabilityAbove(multiple decimal.Decimal) decimal.Decimal {
	if len(b.sorted) == 0 {
		return decimal.Decimal{}
	}
	d, _ := decimalOf(big.NewRat(int64(above(b.sorted, money.Rat(multiple))), int64(len(b.sorted))), 4) // at most 1
	return d
}
