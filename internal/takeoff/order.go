package takeoff

import (
	"math/big"
	"slices"
	"strconv"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/spec"
)

// need is how much of an item the layout takes, before waste and packs.
type need struct {
	item
	net   *big.Rat // exact
	waste *decimal.Decimal
	steps []Step
	// use says what it is for, where other rules take the same item: "trim".
	// Empty: see need.what.
	use string
}

// uses are what needs of rules are for that do not say so, by how their rules'
// names begin.
var uses = map[string]string{"nail": "nails of the fence", "horizontal": "boards", "stick": "sticks", "bracket": "rails", "gate": "gates", "frame": "gates",
	"rail": "rails", "boards": "boards", "kick": "kick boards", "chain": "the fence", "wire": "the fence", "panel": "the fence"}

// what is what a need is for, in words of a sum.
func (n need) what() string {
	if n.use != "" {
		return "for " + n.use
	}
	for _, s := range n.steps {
		if s.Subject != "" {
			return "for " + s.Subject
		}
	}
	for _, s := range n.steps {
		family, _, _ := strings.Cut(s.Rule, ".")
		if use := uses[family]; use != "" {
			return "for " + use
		}
	}
	return "more"
}

// merged adds up needs of one item, so that each is rounded up and packed once
// for the job, whichever rules asked for it.
func merged(needs []need) []need {
	at := make(map[string]int, len(needs))
	var all []need
	parts := make(map[string]*sum)
	for _, n := range needs {
		i, again := at[n.name]
		if !again {
			at[n.name] = len(all)
			all = append(all, n)
			continue
		}
		unit := n.noun
		if unit == "" {
			unit = string(n.unit)
		}
		if parts[n.name] == nil {
			parts[n.name] = newSum(unit)
			parts[n.name].add(all[i].what(), all[i].net, 1)
		}
		parts[n.name].add(n.what(), n.net, 1)
		all[i].net = new(big.Rat).Add(all[i].net, n.net)
		all[i].steps = slices.Concat(all[i].steps, n.steps)
	}
	for i := range all {
		if p := parts[all[i].name]; p != nil {
			all[i].steps = append(slices.Clone(all[i].steps), p.step("order.sum"))
		}
	}
	return all
}

// line turns a need into what is ordered: the net with its waste rounded up to
// whole units, then to whole packs.
func (n need) line(s spec.Spec, offers map[string]Offer) (Line, error) {
	offer := offers[n.bookName(s)]
	l := Line{
		Item: n.bookName(s), Default: n.name, Description: n.description,
		Category: n.category, Unit: n.unit, OrderUnit: offer.sold, WastePercent: value(n.waste), Pack: offer.pack(),
	}
	withWaste := n.withWaste()
	needed := ceiling(withWaste, one)
	order := ceiling(offer.inSold(needed), offer.packed())

	unit := n.noun
	if unit == "" {
		unit = string(n.unit)
	}
	l.Derivation.Steps = append(slices.Clip(n.steps), orderSteps(n.net, withWaste, needed, order, l, offer, unit)...)

	var err error
	if l.Net, err = decimalOf(n.net); err != nil {
		return Line{}, err
	}
	l.Order, err = decimalOf(order)
	return l, err
}

// withWaste is the net with its waste, exactly.
func (n need) withWaste() *big.Rat {
	percent := value(n.waste)
	if percent.IsZero() {
		return n.net
	}
	all := money.Rat(percent)
	all.Add(all, hundred)
	return all.Mul(all.Quo(all, hundred), n.net)
}

// order is what is bought of the need, in whole packs of the unit it is sold by.
func (n need) order(o Offer) *big.Rat {
	return ceiling(o.inSold(ceiling(n.withWaste(), one)), o.packed())
}

// orderSteps tell how the net became the order; none where it is the order.
func orderSteps(net, withWaste, needed, order *big.Rat, l Line, offer Offer, unit string) []Step {
	var steps []Step
	if net.Cmp(needed) != 0 {
		id, inputs := "order.round", []Input{{"net", number(net), unit}}
		if !l.WastePercent.IsZero() {
			id, inputs = "order.waste", append(inputs, Input{"waste", l.WastePercent.Trim(0).String(), "%"})
		}
		steps = append(steps, step(id, "", inputs...).
			rounded(amount(withWaste, unit), "rounded up once for the job", amount(needed, unit)))
	}
	if offer.ratio != nil {
		sold := offer.inSold(needed)
		steps = append(steps, step("order.unit", "", Input{"needed", number(needed), unit},
			Input{"ratio", fraction(offer.ratio), string(l.OrderUnit) + "/" + string(l.Unit)}).
			exactly(amount(sold, string(l.OrderUnit))))
		needed, unit = sold, string(l.OrderUnit)
	}
	if needed.Cmp(order) != 0 {
		steps = append(steps, step("order.pack", "",
			Input{"needed", number(needed), unit}, Input{"pack", l.Pack.Trim(0).String(), unit}).
			rounded(amount(new(big.Rat).Quo(needed, money.Rat(l.Pack)), "pack"), "rounded up to whole packs", amount(order, unit)))
	}
	return steps
}

var one, hundred = big.NewRat(1, 1), big.NewRat(100, 1)

// ceiling is the least whole multiple of unit, which is above zero, that is at
// least r.
func ceiling(r, unit *big.Rat) *big.Rat {
	single := unit == one || unit.Cmp(one) == 0
	units := r
	if !single {
		units = new(big.Rat).Quo(r, unit)
	}
	if units.IsInt() {
		return r
	}
	n := new(big.Int).Neg(units.Num())
	n.Div(n, units.Denom()) // the floor of -units
	up := new(big.Rat).SetInt(n.Neg(n))
	if single {
		return up
	}
	return up.Mul(up, unit)
}

// halfUp is r, zero or more, in units of 10^-places, to the nearest.
func halfUp(r *big.Rat, places int64) *big.Int {
	n := new(big.Int).Exp(big.NewInt(10), big.NewInt(places), nil)
	n.Mul(n.Lsh(n, 1), r.Num())
	n.Add(n, r.Denom())
	return n.Quo(n, new(big.Int).Lsh(r.Denom(), 1))
}

// decimalOf is r, zero or more, as a decimal: exact where it ends within nine
// decimals, else to four, half up.
func decimalOf(r *big.Rat) (decimal.Decimal, error) {
	if r.IsInt() {
		return newDecimal(r.Num(), 0)
	}
	units, rest := new(big.Int).Mul(r.Num(), big.NewInt(1_000_000_000)), new(big.Int)
	if units.QuoRem(units, r.Denom(), rest); rest.Sign() == 0 {
		return newDecimal(units, 9)
	}
	return newDecimal(halfUp(r, 4), 4)
}

// newDecimal is a number of units of 10^-places.
func newDecimal(units *big.Int, places int) (decimal.Decimal, error) {
	d, err := decimal.New(units.Int64(), places)
	if err != nil || !units.IsInt64() {
		return decimal.Decimal{}, fault.New(fault.Exhausted, "AMOUNT_OUT_OF_RANGE",
			"a quantity needs more than the %d digits a decimal holds", decimal.MaxPrec)
	}
	return d.Trim(0), nil
}

// fraction is r as a decimal where it ends within twelve, else as a fraction.
func fraction(r *big.Rat) string {
	if d, exact, err := money.FromRat(r, 12); exact && err == nil {
		return d.String()
	}
	return r.String()
}

func whole(n int) *big.Rat { return new(big.Rat).SetInt64(int64(n)) }

// quotient is a over b, exactly; b is not zero.
func quotient(a, b measure.Length) *big.Rat { return big.NewRat(int64(a), int64(b)) }

// amountOf is a whole number of things as a step keeps it: "18 boards".
func amountOf(n int, noun string) string { return counted(strconv.Itoa(n), noun) }
