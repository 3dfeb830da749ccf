package actuals

import (
	"github.com/govalues/decimal"

	"wattle/internal/money"
)

// Difference is how a line's use departs from its estimate; nil where one of the
// two is not known.
type Difference struct {
	// Quantity is actual less estimated.
	Quantity *decimal.Decimal
	// Percent is that of the estimate, to 2 decimals, half up; nil of an
	// estimate of zero.
	Percent *decimal.Decimal
	// Cost is paid less estimated.
	Cost *decimal.Decimal
}

// Difference is how far the estimate was off.
func (l Line) Difference() (Difference, error) {
	var d Difference
	var c money.Calc
	less := func(a, b *decimal.Decimal) *decimal.Decimal {
		if a == nil || b == nil {
			return nil
		}
		return new(c.Sub(*a, *b))
	}
	d.Quantity, d.Cost = less(l.Actual, l.Estimated), less(l.Paid, l.EstimatedCost)
	if d.Quantity != nil && l.Estimated.IsPos() {
		r := money.Rat(c.MulInt(*d.Quantity, 100))
		d.Percent = new(c.Rat(r.Quo(r, money.Rat(*l.Estimated)), 2))
	}
	return d, c.Err()
}
