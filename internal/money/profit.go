package money

import (
	"github.com/govalues/decimal"

	"wattle/internal/fault"
)

// PriceByMarkup is cost plus pct per cent of cost, exactly.
func (c *Calc) PriceByMarkup(cost, pct decimal.Decimal) decimal.Decimal {
	return c.Add(cost, c.Percent(cost, pct))
}

// PriceByMargin is the price of which pct per cent is profit over cost:
// cost x 100 / (100 - pct), as Quo gives it. A margin of 100 per cent or more is
// an error (Invalid, MARGIN_OUT_OF_RANGE): no price has it.
func (c *Calc) PriceByMargin(cost, pct decimal.Decimal) decimal.Decimal {
	if pct.Cmp(hundred) >= 0 {
		return c.fail(fault.New(fault.Invalid, "MARGIN_OUT_OF_RANGE",
			"a margin must be under 100 per cent of the price, found %v", pct))
	}
	return c.Quo(c.Mul(cost, hundred), c.Sub(hundred, pct))
}

// MarginOfMarkup is the margin, in per cent of price, that a markup of pct per
// cent of cost gives: 100 pct / (100 + pct), as Quo gives it. A markup of 40 is
// a margin of 28.57 [TAX-6].
func (c *Calc) MarginOfMarkup(pct decimal.Decimal) decimal.Decimal {
	return c.Quo(c.Mul(pct, hundred), c.Add(hundred, pct))
}
