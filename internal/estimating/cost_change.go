package estimating

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/basket"
	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/fault"
	"wattle/internal/money"
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

// Sentence tells the change of a whole basket in one line of figures.
func (f Followed) Sentence(c costindex.Change) string {
	moved := slices.DeleteFunc(slices.Clone(c.Parts), func(p costindex.PartChange) bool { return p.Difference.Basket.IsZero() })
	slices.SortStableFunc(moved, func(a, b costindex.PartChange) int {
		return b.Difference.PerFoot.CmpAbs(a.Difference.PerFoot)
	})
	by := make([]string, len(moved))
	for i, p := range moved {
		by[i] = p.Component + " " + signed(p.Difference.PerFoot, costindex.PerFootDecimals)
	}
	text := fmt.Sprintf("From %v to %v a foot went from %s to %s %s, %s (%s %%)", f.Market.Window.From, f.Market.Window.To,
		money.Fixed(c.From.PerFoot, costindex.PerFootDecimals), money.Fixed(c.To.PerFoot, costindex.PerFootDecimals), f.Currency,
		signed(c.Difference.PerFoot, costindex.PerFootDecimals), signed(c.Percent, 1))
	if len(by) > 0 {
		text += ": " + strings.Join(by, ", ")
	}
	return text + "."
}

func signed(d decimal.Decimal, decimals int) string {
	if d.IsPos() {
		return "+" + money.Fixed(d, decimals)
	}
	return money.Fixed(d, decimals)
}
