package takeoff

import (
	"math/big"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// need is how much of an item the layout takes, before waste and packs.
type need struct {
	item
	net   *big.Rat // exact
	waste *decimal.Decimal
	steps []Step
}

// line turns a need into what is ordered: the net with its waste rounded up to
// whole units, then to whole packs.
func (n need) line(s spec.Spec, offers map[string]Offer) (Line, error) {
	l := Line{
		Item: n.bookName(s), Default: n.name, Description: n.description,
		Category: n.category, Unit: n.unit, WastePercent: value(n.waste), Pack: decimal.One,
	}
	if offer := offers[l.Item]; offer.Pack.IsPos() {
		l.Pack = offer.Pack
	}
	withWaste := new(big.Rat).Add(big.NewRat(1, 1), new(big.Rat).Mul(rat(l.WastePercent), big.NewRat(1, 100)))
	withWaste.Mul(withWaste, n.net)
	needed := ceiling(withWaste, one)
	order := ceiling(needed, rat(l.Pack))

	unit := n.noun
	if unit == "" {
		unit = string(n.unit)
	}
	l.Derivation.Steps = append(n.steps, orderSteps(n.net, withWaste, needed, order, l, unit)...)

	var err error
	if l.Net, err = decimalOf(n.net); err != nil {
		return Line{}, err
	}
	l.Order, err = decimalOf(order)
	return l, err
}

// orderSteps tell how the net became the order; none where it is the order.
func orderSteps(net, withWaste, needed, order *big.Rat, l Line, unit string) []Step {
	var steps []Step
	if net.Cmp(needed) != 0 {
		id, inputs := "order.round", []Input{{"net", number(net), unit}}
		if !l.WastePercent.IsZero() {
			id, inputs = "order.waste", append(inputs, Input{"waste", l.WastePercent.Trim(0).String(), "%"})
		}
		steps = append(steps, step(id, "", inputs...).
			rounded(amount(withWaste, unit), "rounded up once for the job", amount(needed, unit)))
	}
	if needed.Cmp(order) != 0 {
		steps = append(steps, step("order.pack", "",
			Input{"needed", number(needed), unit}, Input{"pack", l.Pack.Trim(0).String(), unit}).
			rounded(amount(new(big.Rat).Quo(needed, rat(l.Pack)), "pack"), "rounded up to whole packs", amount(order, unit)))
	}
	return steps
}

var one = big.NewRat(1, 1)

// ceiling is the least whole multiple of unit, which is above zero, that is at
// least r.
func ceiling(r, unit *big.Rat) *big.Rat {
	units := new(big.Rat).Quo(r, unit)
	n := new(big.Int).Neg(units.Num())
	n.Div(n, units.Denom()) // the floor of -units
	return new(big.Rat).Mul(new(big.Rat).SetInt(n.Neg(n)), unit)
}

// halfUp is r, zero or more, to the nearest whole multiple of unit.
func halfUp(r, unit *big.Rat) *big.Rat {
	units := new(big.Rat).Quo(r, unit)
	units.Add(units, big.NewRat(1, 2))
	n := new(big.Int).Div(units.Num(), units.Denom())
	return new(big.Rat).Mul(new(big.Rat).SetInt(n), unit)
}

// rat is d as a fraction.
func rat(d decimal.Decimal) *big.Rat {
	r, _ := new(big.Rat).SetString(d.String())
	return r
}

// decimalOf is r as a decimal, exact where it ends within nine decimals, else
// to four, half up.
func decimalOf(r *big.Rat) (decimal.Decimal, error) {
	places := 9
	if !new(big.Rat).Mul(r, big.NewRat(1_000_000_000, 1)).IsInt() {
		places = 4
	}
	d, err := decimal.ParseExact(r.FloatString(places), places)
	if err != nil {
		return decimal.Decimal{}, fault.Wrap(err, fault.Exhausted, "AMOUNT_OUT_OF_RANGE",
			"a quantity needs more than the %d digits a decimal holds", decimal.MaxPrec)
	}
	return d.Trim(0), nil
}

func whole(n int) *big.Rat { return new(big.Rat).SetInt64(int64(n)) }

// quotient is a over b, exactly; b is not zero.
func quotient(a, b measure.Length) *big.Rat { return big.NewRat(int64(a), int64(b)) }

// amountOf is a whole number of things as a step keeps it: "18 boards".
func amountOf(n int, noun string) string { return amount(whole(n), noun) }
