package quote

import (
	"github.com/govalues/decimal"

	"wattle/internal/money"
)

// Margin is the profit that is left after the discount, in percent of what is
// asked before tax for our own work and material: (net - fees - cost -
// overhead) / (net - fees), half up to 4 decimals. Fees are passed on at cost,
// so they neither earn nor dilute. It is zero where nothing is asked, and
// negative where the job is sold under cost and overhead.
func (t Totals) Margin() (decimal.Decimal, error) {
	var c money.Calc
	asked := c.Sub(t.Net, t.Fees)
	if asked.IsZero() {
		return decimal.Zero, c.Err()
	}
	left := c.Sub(asked, c.Add(t.Cost, t.Overhead))
	m := c.Quo(c.MulInt(left, 100), asked)
	if err := c.Err(); err != nil {
		return decimal.Zero, err
	}
	return decimal.Parse(money.Fixed(m, 4))
}
