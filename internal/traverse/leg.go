package traverse

import (
	"fmt"
	"math/big"
	"strings"

	"wattle/internal/measure"
)

// Leg is one leg in plan: a direction as measure.Direction gives it, a
// horizontal distance and how far the ground rises along it.
type Leg struct {
	Bearing        measure.Angle
	Distance, Rise measure.Length
}

// LegText is one leg as it was written down. Bearing is read by
// measure.ParseBearing, Distance and Rise by measure.Parse. Where Rise or Percent
// is given the distance was measured along the slope; Percent is of the
// horizontal, up to six decimals, at most 1,000 either way: "3", "-2.5 %".
type LegText struct {
	Bearing, Distance, Rise, Percent string
}

// report takes one thing wrong with a field of a leg.
type report func(field, format string, args ...any)

// read is the leg, and whether it says how the ground rises. Where it has
// reported anything the leg is of no use.
func (t LegText) read(wrong report) (leg Leg, graded bool) {
	var err error
	if leg.Bearing, err = measure.ParseBearing(t.Bearing); err != nil {
		wrong("bearing", "%v", err)
	}
	leg.Distance, err = measure.Parse(t.Distance)
	measured := err == nil && leg.Distance > 0
	switch {
	case err != nil:
		wrong("distance", "%v", err)
	case !measured:
		wrong("distance", "%s; expected more than 0", leg.Distance.Imperial())
	}
	rise, percent := t.grade(wrong)
	switch {
	case !measured:
		return leg, false
	case rise != nil && rise.Abs() >= leg.Distance:
		wrong("rise", "a rise of %s in %s along the slope; expected less than the distance", rise.Imperial(), leg.Distance.Imperial())
		return leg, false
	case rise != nil:
		leg.Distance, leg.Rise = belowRise(leg.Distance, *rise), *rise
	case percent != nil:
		leg.Distance, leg.Rise = belowSlope(leg.Distance, *percent)
	}
	if leg.Distance == 0 {
		wrong("distance", "nothing is left of it in plan")
	}
	return leg, rise != nil || percent != nil
}

// grade is how the leg rises, one way or the other; neither where it does not
// say so, or not well.
func (t LegText) grade(wrong report) (rise *measure.Length, percent *int64) {
	if t.Rise != "" && t.Percent != "" {
		wrong("percent", "both rise and percent; expected one of them")
	}
	if t.Rise != "" {
		if r, err := measure.Parse(t.Rise); err != nil {
			wrong("rise", "%v", err)
		} else {
			rise = &r
		}
	}
	if t.Percent != "" {
		if p, err := parsePercent(t.Percent); err != nil {
			wrong("percent", "%v", err)
		} else {
			percent = &p
		}
	}
	return rise, percent
}

// belowRise is the horizontal distance under d along a slope that rises so far:
// sqrt(d^2 - rise^2) to the nearest nanometre.
func belowRise(d, rise measure.Length) measure.Length {
	square := new(big.Int).Mul(big.NewInt(int64(d-rise)), big.NewInt(int64(d+rise)))
	return rootOfQuarter(square.Lsh(square, 2))
}

// percentUnit is what slopes are counted in: a millionth of a percent.
const percentUnit = 1_000_000

// belowSlope is the horizontal distance and the rise under d along a slope p:
// d / sqrt(1 + p^2) and p times that, each to the nearest nanometre.
func belowSlope(d measure.Length, percent int64) (horizontal, rise measure.Length) {
	const run = 100 * percentUnit
	part := func(of int64) measure.Length {
		// (2 d of)^2 / (run^2 + percent^2); the divisor is below 1.1e18.
		q := new(big.Int).Mul(big.NewInt(int64(d)), big.NewInt(2*of))
		q.Mul(q, q)
		return rootOfQuarter(q.Quo(q, big.NewInt(run*run+percent*percent)))
	}
	horizontal, rise = part(run), part(percent)
	if percent < 0 {
		rise = -rise
	}
	return horizontal, rise
}

// rootOfQuarter is sqrt(q/4) to the nearest integer; q > 0.
func rootOfQuarter(q *big.Int) measure.Length {
	root := new(big.Int).Sqrt(q).Int64()
	return measure.Length((root + 1) / 2)
}

// parsePercent reads a slope such as "3", "-2.5 %" or "3 percent", in
// millionths of a percent.
func parsePercent(s string) (int64, error) {
	fail := func(expected string) (int64, error) {
		return 0, fmt.Errorf("%.40q is not a slope: expected %s", s, expected)
	}
	number, _ := strings.CutSuffix(strings.ToLower(strings.TrimSpace(s)), "percent")
	number, _ = strings.CutSuffix(number, "%")
	number = strings.TrimSpace(number)
	digits, negative := strings.CutPrefix(number, "-")
	if !negative {
		digits, negative = strings.CutPrefix(number, "−")
	}
	whole, decimals, _ := strings.Cut(strings.TrimSpace(digits), ".")
	if whole == "" || strings.Trim(whole+decimals, "0123456789") != "" {
		return fail(`percent, as in "3 %" or "-2.5 %"`)
	}
	decimals = strings.TrimRight(decimals, "0")
	if len(decimals) > 6 {
		return fail("at most six decimals")
	}
	if whole = strings.TrimLeft(whole, "0"); len(whole) > 4 {
		return fail("at most 1000 %")
	}
	percent := int64(0)
	for _, d := range whole + decimals + "000000"[len(decimals):] {
		percent = percent*10 + int64(d-'0')
	}
	if percent > 1000*percentUnit {
		return fail("at most 1000 %")
	}
	if negative {
		percent = -percent
	}
	return percent, nil
}
