package estimating

import (
	"context"
	"fmt"

	"wattle/internal/basket"
	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/fault"
)

// ExplainCost splits the change of cost from the window's first day to its last.
// Where an item has no price on one of them, that is Refused (PRICES_MISSING)
// and names all of them.
func (s *Service) ExplainCost(ctx context.Context, company, at string, b CostBasket, w CostWindow) (Followed, costindex.Change, error) {
	f, err := s.FollowCost(ctx, company, at, b, w)
	if err != nil {
		return f, costindex.Change{}, err
	}
	from, unpricedThen := f.Market.At(f.Basket, f.Market.Window.From)
	to, unpricedNow := f.Market.At(f.Basket, f.Market.Window.To)
	if len(unpricedThen)+len(unpricedNow) > 0 {
		e := fault.New(fault.Refused, "PRICES_MISSING", "%d prices are missing", len(unpricedThen)+len(unpricedNow))
		for _, side := range []struct {
			on      civil.Date
			missing []basket.Missing
		}{{f.Market.Window.From, unpricedThen}, {f.Market.Window.To, unpricedNow}} {
			for _, m := range side.missing {
				e.Violations = append(e.Violations, fault.Violation{Field: m.Item, Description: fmt.Sprintf("on %v: %s", side.on, m.Note)})
			}
		}
		return f, costindex.Change{}, e
	}
	change, err := costindex.Explain(from, to, f.Length, f.Currency)
	return f, change, err
}
