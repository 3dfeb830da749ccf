package takeoff

import (
	"fmt"
	"maps"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/rational"
)

// Offer is what the market asks for an item: its price per unit at the lowest
// quantity and its pack. An absent item has no price and a pack of one; so has
// an Offer whose Pack is zero a pack of one. Unit may be another one than the
// item's where the one is a fixed number of the other (see Refusal).
type Offer struct {
	Price decimal.Decimal
	Unit  Unit
	Pack  decimal.Decimal

	// Of an offer in another unit, once its Price is per the item's (see per):
	// the unit it is sold by and so its Pack is in, how many of that are one of
	// the item's unit, and the price per sold unit. Zero of all others.
	sold      Unit
	ratio     rational.Number
	soldPrice decimal.Decimal
}

// oneUnit is the last version of rules that took offers in the item's own unit
// only.
const oneUnit = 3

// convertedScale is the number of decimals of a price that is converted into
// another unit. What is bought is priced in the unit it is sold by, so a
// converted price only compares: sticks to cut from with one another.
const convertedScale = 10

// Refusal says why an offer gives no price for one of a unit; empty where it
// does. A price of goods needs a fixed ratio of the units. A rate, in hours for
// each, is itself multiplied with what was counted, so it must also end as a
// decimal.
func (o Offer) Refusal(want Unit) string {
	if o.Unit == want {
		return ""
	}
	factor, ok := o.factor(want)
	if !ok {
		expected, per := string(want), "per "
		if want.rate() || want == Ratio {
			per = "in "
		}
		if like := measure.UnitsLike(string(want)); len(like) > 0 {
			expected += " or " + strings.Join(like, ", ")
		}
		return fmt.Sprintf("is priced %s%s, which is no fixed number of %s; expected %s%s", per, o.Unit, want, per, expected)
	}
	price, exact, err := money.FromRat(factor.Mul(money.Rational(o.Price)).Big(), convertedScale)
	switch {
	case err != nil:
		return fmt.Sprintf("is priced per %s; per %s that has more digits than a decimal holds", o.Unit, want)
	case want.rate() && !exact:
		return fmt.Sprintf("is %s %s, which is no exact decimal in %s (%s...); expected it in %s", o.Price.Trim(0), o.Unit, want, price, want)
	}
	return ""
}

// factor is what the price is multiplied by to be one per the wanted unit. A
// price is per its unit, so that is how many of it one wanted unit is; a rate is
// in its unit, so it is the other way about.
func (o Offer) factor(want Unit) (rational.Number, bool) {
	if want.rate() {
		return measure.UnitRatio(string(o.Unit), string(want))
	}
	return measure.UnitRatio(string(want), string(o.Unit))
}

// rate reports whether prices in the unit are production rates.
func (u Unit) rate() bool { return strings.Contains(string(u), "/") }

// per is the offer with its price for one of a unit, which it must not refuse.
func (o Offer) per(want Unit) Offer {
	factor, ok := o.factor(want)
	if o.Unit == want || !ok {
		return o
	}
	o.sold, o.ratio, o.soldPrice, o.Unit = o.Unit, factor, o.Price, want
	o.Price, _, _ = money.FromRat(factor.Mul(money.Rational(o.soldPrice)).Big(), convertedScale)
	return o
}

// perUnit are the offers with their prices for one of each item's unit.
func (g *gathered) perUnit(items []*item, offers map[string]Offer) map[string]Offer {
	if len(offers) == 0 || g.rules > 0 && g.rules <= oneUnit {
		return offers
	}
	all, own := offers, false // most are in their item's unit as they are
	for _, it := range items {
		name := it.bookName(g.s)
		o := offers[name]
		if o.Unit == "" || o.Unit == it.unit && !own {
			continue
		}
		if !own {
			all, own = maps.Clone(offers), true
		}
		all[name] = o.per(it.unit)
	}
	return all
}

// pack is the least that is sold: one where the offer names none.
func (o Offer) pack() decimal.Decimal {
	if o.Pack.IsPos() {
		return o.Pack
	}
	return decimal.One
}

// packed is pack as a fraction.
func (o Offer) packed() rational.Number {
	return money.Rational(o.pack())
}

// inSold is an amount of the item's unit in the unit it is sold by.
func (o Offer) inSold(amount rational.Number) rational.Number {
	if o.ratio.Sign() == 0 {
		return amount
	}
	return amount.Mul(o.ratio)
}

// cost is what an amount of the unit it is sold by costs.
func (o Offer) cost(sold rational.Number) rational.Number {
	price := o.Price
	if o.ratio.Sign() != 0 {
		price = o.soldPrice
	}
	return sold.Mul(money.Rational(price))
}
