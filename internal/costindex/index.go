package costindex

import (
	"fmt"

	"github.com/govalues/decimal"
)

// Formula is a way to make one number of many prices [Producer Price Index
// Manual 2004, chapters 15 to 19; Balk 2008]. With p and q for prices and
// quantities, 0 for the base and t for the other period, sums over the goods:
//
//	Laspeyres   sum pt q0 / sum p0 q0
//	Paasche     sum pt qt / sum p0 qt
//	Fisher      the root of Laspeyres times Paasche
//	Tornqvist   exp of the sum of (s0 + st)/2 ln(pt/p0), s the shares of value
//	Walsh       sum pt r / sum p0 r, r the root of q0 qt
type Formula int

const (
	Laspeyres Formula = iota
	Paasche
	Fisher
	Tornqvist
	Walsh
)

var formulaNames = [...]string{"laspeyres", "paasche", "fisher", "tornqvist", "walsh"}

// Formulas are all of them.
func Formulas() []Formula { return []Formula{Laspeyres, Paasche, Fisher, Tornqvist, Walsh} }

func (f Formula) String() string {
	if f < 0 || int(f) >= len(formulaNames) {
		return fmt.Sprintf("formula %d", int(f))
	}
	return formulaNames[f]
}

// IndexDecimals is the number of decimals of an index whose base is 100.
const IndexDecimals = 6

// Period is what was bought in one span of time, and at which prices. Prices and
// Quantities have one number for each good, in the order of Goods.Names. A good
// that was not bought has quantity 0, but needs a price all the same.
type Period struct {
	Label              string
	Prices, Quantities []decimal.Decimal
}

// Goods is a table of prices and quantities: one good per name, one row per
// period, from early to late.
type Goods struct {
	Names   []string
	Periods []Period
}

// Index is the price index of every period, in order: base is the number of the
// period (from 0) that is 100, to IndexDecimals, half up. Fixed-base
// (not chained) compares each period with the base directly. Chained multiplies
// what the formula gives from each period to the next, and then makes the base
// 100; with Fisher, the links are Fisher's.
//
// Laspeyres, Paasche and Fisher are rounded from the exact value, Walsh and
// Tornqvist from one of 40 digits or more.
//
// It is an error (Invalid) that names every period and good at once where a
// price is missing, zero or below, a quantity below zero or missing, or where
// nothing was bought in a period.
func (g Goods) Index(f Formula, chained bool, base int) ([]decimal.Decimal, error) {
	return nil, errUnbuilt
}
