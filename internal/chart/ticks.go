package chart

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/plot"

	"wattle/internal/civil"
)

// numbers are the marks of an axis of figures: some six steps of 1, 2, 2.5 or 5
// times a power of ten, from low to high.
func numbers(low, high float64) (ticks plot.ConstantTicks) {
	step := math.Pow(10, math.Floor(math.Log10((high-low)/6)))
	for _, times := range []float64{1, 2, 2.5, 5, 10} {
		if (high-low)/(step*times) <= 6 {
			step *= times
			break
		}
	}
	decimals := 0
	for scaled := step; decimals < 6 && math.Abs(scaled-math.Round(scaled)) > 1e-9; decimals++ {
		scaled *= 10
	}
	for n := math.Ceil(low/step - 1e-9); n*step <= high+step*1e-9 && len(ticks) < 20; n++ {
		ticks = append(ticks, plot.Tick{Value: n * step, Label: strconv.FormatFloat(n*step+0, 'f', decimals, 64)})
	}
	return ticks
}

// roomy is a range of figures with some air; never an empty one.
func roomy(low, high float64) (float64, float64) {
	air := 0.06 * (high - low)
	if air == 0 {
		air = max(0.05*math.Abs(high), 0.5)
	}
	return low - air, high + air
}

// dates are the marks of an axis of days, counted from its first: the finest of
// days, weeks, months and years that leaves room for the words.
func dates(from, to civil.Date) plot.ConstantTicks {
	for _, s := range []struct{ days, months, most int }{
		{days: 1, most: 5}, {days: 7, most: 5}, {days: 14, most: 5},
		{months: 1, most: 7}, {months: 2, most: 7}, {months: 3, most: 7}, {months: 6, most: 7},
		{months: 12, most: 9}, {months: 24, most: 9}, {months: 60, most: 9}, {months: 120, most: 9},
	} {
		if ticks := every(from, to, s.days, s.months); len(ticks) <= s.most {
			if s.months == 12 {
				return append(ticks, quarters(from, to)...)
			}
			return ticks
		}
	}
	return every(from, to, 0, 12*100)
}

// every is a mark for each so many days or months: from the first Monday or day on,
// or on the first of months that divide the year.
func every(from, to civil.Date, days, months int) (ticks plot.ConstantTicks) {
	if months == 0 {
		day := from
		if days > 1 {
			day = from.AddDays((8 - int(day.Time().Weekday())) % 7)
		}
		for ; day.Compare(to) <= 0 && len(ticks) < 100; day = day.AddDays(days) {
			ticks = append(ticks, plot.Tick{Value: float64(from.DaysTo(day)), Label: day.String()})
		}
		return ticks
	}
	n := from.Year*12 + int(from.Month) - 1
	if from.Day > 1 {
		n++
	}
	for n = (n + months - 1) / months * months; len(ticks) < 100; n += months {
		first, _ := civil.Parse(fmt.Sprintf("%04d-%02d-01", n/12, n%12+1))
		if first.IsZero() || first.Compare(to) > 0 {
			break
		}
		label := fmt.Sprintf("%04d-%02d", first.Year, first.Month)
		if months%12 == 0 {
			label = label[:4]
		}
		ticks = append(ticks, plot.Tick{Value: float64(from.DaysTo(first)), Label: label})
	}
	return ticks
}

// quarters are marks without a word.
func quarters(from, to civil.Date) (ticks plot.ConstantTicks) {
	for _, t := range every(from, to, 0, 3) {
		ticks = append(ticks, plot.Tick{Value: t.Value})
	}
	return ticks
}
