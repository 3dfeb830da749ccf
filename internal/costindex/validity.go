package costindex

import (
	"math/big"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/money"
)

// Validity is the longest time a price may stand, as far as a history tells.
type Validity struct {
	// Days is the longest, 0 where even one step of the grid breaks the limit.
	Days int
	// Chance is the part of the draws above the tolerance at that time, in
	// percent to 2 decimals, half up; 0 where Days is.
	Chance decimal.Decimal
}

// Validity is the longest number of days, up to most, at which and before which
// the chance that cost has risen by more than tolerance is within risk, both in
// percent. most is at most the longest horizon or DefaultValidity, whichever is
// more; 0 is DefaultValidity. A time between two steps of the grid counts as the
// later one.
func (a Assessment) Validity(tolerance, risk decimal.Decimal, most int) (Validity, error) {
	v := &fault.List{}
	v.Require(!tolerance.IsNeg(), "tolerance", "%v %%; expected 0 or more", tolerance)
	a.requireRisk(v, risk)
	most = a.requireDays(v, "most", most)
	if err := v.Err(); err != nil {
		return Validity{}, err
	}
	limit := new(big.Rat).Quo(money.Rat(tolerance), big.NewRat(100, 1))
	limit.Add(limit, big.NewRat(1, 1))
	found := Validity{}
	for s := 1; s <= a.Risk.Every.steps(most); s++ {
		sorted := slices.Sorted(slices.Values(a.steps[s-1]))
		chance := big.NewRat(100*int64(above(sorted, limit)), int64(len(sorted)))
		if chance.Cmp(money.Rat(risk)) > 0 {
			break
		}
		found.Days = min(most, a.Risk.Every.days(s))
		var err error
		if found.Chance, err = decimalOf(chance, 2); err != nil {
			return Validity{}, err
		}
	}
	return found, nil
}

// Contingency is the least percentage, to 2 decimals rounded up and not below 0,
// such that the chance that cost has risen by more than it is no more than risk
// (in percent) when a number of days is over. days is as most of Validity.
func (a Assessment) Contingency(risk decimal.Decimal, days int) (decimal.Decimal, error) {
	v := &fault.List{}
	a.requireRisk(v, risk)
	days = a.requireDays(v, "days", days)
	if err := v.Err(); err != nil {
		return decimal.Decimal{}, err
	}
	sorted := slices.Sorted(slices.Values(a.steps[a.Risk.Every.steps(days)-1]))
	// So many draws may be above it; the next lower one is it.
	may := new(big.Rat).Mul(money.Rat(risk), big.NewRat(int64(len(sorted)), 100))
	allowed := new(big.Int).Quo(may.Num(), may.Denom())
	at := sorted[len(sorted)-1-int(allowed.Int64())]
	if _, err := multiple(at); err != nil {
		return decimal.Decimal{}, err
	}
	// In hundredths of a percent, up to the next whole one, but for a hair.
	r := new(big.Rat).SetFloat64(at / (1 + hair))
	r.Sub(r, big.NewRat(1, 1)).Mul(r, big.NewRat(10_000, 1))
	if r.Sign() <= 0 {
		return decimal.Decimal{}, nil
	}
	up := new(big.Int).Add(r.Num(), new(big.Int).Sub(r.Denom(), big.NewInt(1)))
	return decimalOf(new(big.Rat).SetFrac(up.Quo(up, r.Denom()), big.NewInt(100)), 2)
}

func (a Assessment) requireRisk(v *fault.List, risk decimal.Decimal) {
	v.Require(risk.IsPos() && risk.Less(decimal.Hundred), "risk", "%v %%; expected more than 0 and less than 100", risk)
}

// requireDays is days, or DefaultValidity for 0, noting where the draws do not
// reach so far.
func (a Assessment) requireDays(v *fault.List, field string, days int) int {
	if days == 0 {
		days = DefaultValidity
	}
	reach := DefaultValidity
	for _, h := range a.Risk.Horizons {
		reach = max(reach, h)
	}
	v.Require(len(a.steps) > 0, field, "nothing was assessed")
	v.Require(days >= 1 && days <= reach, field, "%d days; expected 1 to %d, as far as was drawn", days, reach)
	return days
}
