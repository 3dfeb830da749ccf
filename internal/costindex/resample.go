package costindex

import (
	"math/big"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// Resample cuts a series into days, weeks or months, from its first step to its
// last day. A gap is stated, never filled.
//
// It is an error (Invalid) that lists all of it where steps are out of order,
// have too many or too few values, or begin after the series' last day; or
// (Exhausted, AMOUNT_OUT_OF_RANGE) where a mean has more digits than a decimal
// holds.
func (s Series) Resample(every Every) ([]Sample, error) {
	v := &fault.List{}
	s.Validate(v)
	v.Require(every >= 0 && int(every) < len(everyNames), "every", "%v is none; expected day, week or month", every)
	if err := v.Err(); err != nil {
		return nil, err
	}
	var samples []Sample
	step := 0
	for from := s.Steps[0].From; from.Compare(s.To) <= 0; {
		first, last := every.around(from)
		to := last
		if to.Compare(s.To) > 0 {
			to = s.To
		}
		sample := Sample{From: from, To: to, Whole: first == from && last == to}
		var err error
		if step, err = s.fill(&sample, step); err != nil {
			return nil, err
		}
		samples = append(samples, sample)
		from = to.AddDays(1)
	}
	return samples, nil
}

// mostSeriesDays bounds what a series of days costs: a hundred years.
const mostSeriesDays = 36_525

// Validate notes whatever is wrong with a series, by the paths of its fields.
func (s Series) Validate(v *fault.List) {
	v.Require(len(s.Parts) > 0, "parts", "there are none")
	v.Require(len(s.Steps) > 0, "steps", "there are none")
	if len(s.Steps) > 0 {
		v.Require(s.Steps[0].From.DaysTo(s.To) < mostSeriesDays, "to", "%v is %d days after the first step; at most %d", s.To, s.Steps[0].From.DaysTo(s.To), mostSeriesDays)
	}
	for i, step := range s.Steps {
		at := v.At("steps").Index(i)
		at.Require(i == 0 || s.Steps[i-1].From.Compare(step.From) < 0, "from", "%v is not after the step before", step.From)
		at.Require(step.From.Compare(s.To) <= 0, "from", "%v is after the last day, %v", step.From, s.To)
		switch {
		case step.Gap():
			at.Require(len(step.Parts) == 0, "parts", "a step without a price of %s has no value", step.Missing[0])
		default:
			at.Require(len(step.Parts) == len(s.Parts), "parts", "%d values for %d parts", len(step.Parts), len(s.Parts))
		}
	}
}

// around is the first and the last day of the span that a day is in.
func (e Every) around(d civil.Date) (first, last civil.Date) {
	switch e {
	case Week:
		monday := (int(d.Time().Weekday()) + 6) % 7 // days since
		return d.AddDays(-monday), d.AddDays(6 - monday)
	case Month:
		first = civil.Date{Year: d.Year, Month: d.Month, Day: 1}
		next := civil.Of(first.Time().AddDate(0, 1, 0))
		return first, next.AddDays(-1)
	default:
		return d, d
	}
}

// fill works a sample out, whose first day is in the step given, and tells the
// step in which the day after it is.
func (s Series) fill(sample *Sample, step int) (next int, err error) {
	sample.Days = sample.From.DaysTo(sample.To) + 1
	sums := make([]*big.Rat, len(s.Parts)) // value times days
	for i := range sums {
		sums[i] = new(big.Rat)
	}
	day := sample.From
	for {
		current := s.Steps[step]
		end := sample.To
		last := step+1 == len(s.Steps) || s.Steps[step+1].From.Compare(sample.To) > 0
		if !last {
			end = s.Steps[step+1].From.AddDays(-1)
		}
		days := day.DaysTo(end) + 1
		if current.Gap() {
			sample.Missing = append(sample.Missing, current.Missing...)
		} else {
			sample.DaysKnown += days
			for i, value := range current.Parts {
				sums[i].Add(sums[i], new(big.Rat).Mul(money.Rat(value), big.NewRat(int64(days), 1)))
			}
		}
		if last {
			sample.Last = slices.Clone(current.Parts)
			break
		}
		step++
		day = s.Steps[step].From
	}
	slices.Sort(sample.Missing)
	sample.Missing = slices.Compact(sample.Missing)
	if sample.DaysKnown > 0 {
		for _, sum := range sums {
			sum.Quo(sum, big.NewRat(int64(sample.DaysKnown), 1))
		}
		if sample.Mean, err = ShareOut(sums, MeanDecimals); err != nil {
			return 0, err
		}
	}
	if step+1 < len(s.Steps) && s.Steps[step+1].From == sample.To.AddDays(1) {
		step++
	}
	return step, nil
}

// Total is the sum of values by part, such as a sample's Mean or Last; it is not
// ok where there are none, or where the sum has more digits than a decimal holds.
func Total(parts []decimal.Decimal) (total decimal.Decimal, ok bool) {
	var c money.Calc
	total = c.Sum(parts...)
	return total, len(parts) > 0 && c.Err() == nil
}
