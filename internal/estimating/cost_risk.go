package estimating

import (
	"context"

	"github.com/govalues/decimal"

	"wattle/internal/costindex"
)

// RiskWish asks how far the cost of a basket strayed.
type RiskWish struct {
	Basket CostBasket
	Window CostWindow
	Risk   costindex.Risk
	// Tolerance is the rise that a price is to bear, Accepted the chance of being
	// wrong, both in percent; Standing is for how many days a price is to stand.
	Tolerance, Accepted decimal.Decimal
	Standing            int
	Backtest            bool
}

// CostRisk is what the history gives.
type CostRisk struct {
	Followed
	costindex.Assessment
	Validity    costindex.Validity
	Contingency decimal.Decimal
	Coverage    []costindex.Coverage // with Backtest
}

// AssessCost reads the risk off the basket's own past. Gaps and a history too
// short are Invalid.
func (s *Service) AssessCost(ctx context.Context, company, at string, w RiskWish) (CostRisk, error) {
	var out CostRisk
	var err error
	if out.Followed, err = s.FollowCost(ctx, company, at, w.Basket, w.Window); err != nil {
		return out, err
	}
	series, err := out.Series()
	if err != nil {
		return out, err
	}
	samples, err := series.Resample(w.Risk.Every)
	if err != nil {
		return out, err
	}
	history, err := costindex.Observed(samples)
	if err != nil {
		return out, err
	}
	if out.Assessment, err = w.Risk.Assess(history); err != nil {
		return out, err
	}
	if out.Validity, err = out.Assessment.Validity(w.Tolerance, w.Accepted, 0); err != nil {
		return out, err
	}
	if out.Contingency, err = out.Assessment.Contingency(w.Accepted, w.Standing); err != nil {
		return out, err
	}
	if w.Backtest {
		outcomes, err := costindex.Backtest(history, w.Risk, costindex.LeastChanges(w.Risk.Every))
		if err != nil {
			return out, err
		}
		none := out.Market.Window
		out.Coverage = costindex.Cover(outcomes, none.From, none.To)
	}
	return out, alive(ctx)
}
