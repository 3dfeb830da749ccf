package costindex

import (
	"strings"

	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// Observed is the cost on the last day of each span of a series, on its way into
// Risk. A last span that is not over is left out, and so are the days before the
// first value; later gaps stay in and are Assess's to refuse. It takes last values,
// not means, since the mean of a month smooths the very changes that are to be
// measured. Its one error is a sum with more digits than a decimal holds
// (Exhausted, AMOUNT_OUT_OF_RANGE).
func Observed(samples []Sample) ([]Observation, error) {
	if n := len(samples); n > 0 && !samples[n-1].Whole {
		samples = samples[:n-1]
	}
	var observed []Observation
	for _, s := range samples {
		if s.Last == nil {
			if len(observed) > 0 {
				observed = append(observed, Observation{On: s.To, Missing: s.Missing})
			}
			continue
		}
		var c money.Calc
		observed = append(observed, Observation{On: s.To, Value: c.Sum(s.Last...)})
		if c.Err() != nil {
			return nil, c.Err()
		}
	}
	return observed, nil
}

// LeastChanges is the least number of changes that a history needs: a year of
// them. That is our choice; no year is like the next, and more is better.
func LeastChanges(every Every) int {
	switch every {
	case Week:
		return 52
	case Month:
		return 12
	default:
		return 365
	}
}

// steps is a number of days in steps of the grid, rounded up.
func (e Every) steps(days int) int {
	switch e {
	case Week:
		return (days + 6) / 7
	case Month:
		return (days*12 + 364) / 365
	default:
		return days
	}
}

// days is the most days that take no more than a number of steps.
func (e Every) days(steps int) int {
	switch e {
	case Week:
		return 7 * steps
	case Month:
		return steps * 365 / 12
	default:
		return steps
	}
}

// follows reports whether one day is the next of the grid after another.
func (e Every) follows(day, before civil.Date) bool {
	switch e {
	case Week:
		return before.DaysTo(day) == 7
	case Month:
		return day.Year*12+int(day.Month) == before.Year*12+int(before.Month)+1
	default:
		return before.DaysTo(day) == 1
	}
}

// changes are the ratios of each value of a history to the one before, after
// everything that is wrong with it was noted.
func changes(history []Observation, every Every, v *fault.List) (ratios []float64, moves int) {
	wrong := v.Len()
	if n := len(history) - 1; n < LeastChanges(every) {
		v.Add("history", "%d values by the %v; at least %d are needed, a year of changes", len(history), every, LeastChanges(every)+1)
	}
	for i, o := range history {
		at := v.At("history").Index(i)
		switch {
		case len(o.Missing) > 0:
			at.Add("", "there is no value on %v: no price of %s", o.On, strings.Join(o.Missing, "; "))
		case !o.Value.IsPos():
			at.Add("", "the value on %v is %v; expected more than 0", o.On, o.Value)
		}
		if i > 0 && !every.follows(o.On, history[i-1].On) {
			at.Add("", "%v is not one %v after %v", o.On, every, history[i-1].On)
		}
	}
	if v.Len() > wrong {
		return nil, 0
	}
	for i := 1; i < len(history); i++ {
		if history[i].Value.Cmp(history[i-1].Value) != 0 {
			moves++
		}
		value, _ := money.Rat(history[i].Value).Float64()
		before, _ := money.Rat(history[i-1].Value).Float64()
		ratios = append(ratios, value/before)
	}
	return ratios, moves
}
