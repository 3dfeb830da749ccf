package costindex

import (
	"fmt"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
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
	v := &fault.List{}
	g.validate(v)
	v.Require(f >= 0 && int(f) < len(formulaNames), "formula", "%v is none; expected one of %v", f, Formulas())
	v.Require(base >= 0 && base < len(g.Periods), "base", "there is no period %d; expected 0 to %d", base, len(g.Periods)-1)
	if err := v.Err(); err != nil {
		return nil, err
	}
	t := tableOf(g)
	relatives := make([]quotient, len(g.Periods)) // to the base
	for period := range g.Periods {
		switch {
		case !chained:
			relatives[period] = t.relative(f, base, period, v)
		case period == 0:
			relatives[0] = one()
		default:
			relatives[period] = relatives[period-1].times(t.relative(f, period-1, period, v))
		}
	}
	if err := v.Err(); err != nil {
		return nil, err
	}
	origin := one()
	if chained {
		origin = relatives[base]
	}
	index := make([]decimal.Decimal, len(relatives))
	for period, r := range relatives {
		var err error
		if index[period], err = r.over(origin).hundredfold(f == Fisher); err != nil {
			v.At("periods").Index(period).Add("", "the index of %s has more digits than a decimal holds", g.Periods[period].Label)
		}
	}
	return index, v.Err()
}

// validate notes whatever keeps an index from being made.
func (g Goods) validate(v *fault.List) {
	v.Require(len(g.Names) > 0, "names", "there are no goods")
	v.Require(len(g.Periods) > 0, "periods", "there are no periods")
	for i, p := range g.Periods {
		at := v.At("periods").Index(i)
		bought := false
		for good, name := range g.Names {
			if good >= len(p.Prices) || !p.Prices[good].IsPos() {
				at.At("prices").Index(good).Add("", "%s has no price of %s; expected more than 0", p.Label, name)
			}
			switch {
			case good >= len(p.Quantities) || p.Quantities[good].IsNeg():
				at.At("quantities").Index(good).Add("", "%s has no quantity of %s; expected 0 or more", p.Label, name)
			case p.Quantities[good].IsPos():
				bought = true
			}
		}
		at.Require(bought || len(g.Names) == 0, "quantities", "nothing was bought in %s", p.Label)
		at.Require(len(p.Prices) <= len(g.Names), "prices", "%s has %d prices for %d goods", p.Label, len(p.Prices), len(g.Names))
		at.Require(len(p.Quantities) <= len(g.Names), "quantities", "%s has %d quantities for %d goods", p.Label, len(p.Quantities), len(g.Names))
	}
}
