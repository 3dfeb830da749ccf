package takeoff

import (
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/rational"
	"wattle/internal/spec"
)

// need is how much of an item the layout takes, before waste and packs.
type need struct {
	item
	net   rational.Number // exact
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
// for the job, whichever rules asked for it. It answers in the place of needs.
func merged(needs []need) []need {
	all := needs[:0] // a few dozen, and sooner looked through than hashed
	parts := make(map[string]*sum)
	for _, n := range needs {
		i := named(all, n.name)
		if i < 0 {
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
		all[i].net = all[i].net.Add(n.net)
		all[i].steps = slices.Concat(all[i].steps, n.steps)
	}
	for i := range all {
		if p := parts[all[i].name]; p != nil {
			all[i].steps = append(slices.Clone(all[i].steps), p.step("order.sum"))
		}
	}
	return all
}

// named is the index of the need of an item, below zero where there is none.
func named(needs []need, name string) int {
	for i := range needs {
		if needs[i].name == name {
			return i
		}
	}
	return -1
}

// line turns a need into what is ordered: the net with its waste rounded up to
// whole units, then to whole packs.
func (n *need) line(s *spec.Spec, offers map[string]Offer) (Line, error) {
	name := n.bookName(s)
	offer := offers[name]
	l := Line{
		Item: name, Default: n.name, Description: n.description,
		Category: n.category, Unit: n.unit, OrderUnit: offer.sold, WastePercent: value(n.waste), Pack: offer.pack(),
	}
	withWaste := n.withWaste()
	needed := ceiling(withWaste, one)
	order := ceiling(offer.inSold(needed), offer.packed())

	unit := n.noun
	if unit == "" {
		unit = string(n.unit)
	}
	var room [3]Step
	l.Derivation.Steps = slices.Clip(n.steps)
	if told := appendOrder(room[:0], n.net, withWaste, needed, order, &l, &offer, unit); len(told) > 0 {
		l.Derivation.Steps = slices.Concat(n.steps, told)
	}

	var err error
	if l.Net, err = decimalOf(n.net); err != nil {
		return Line{}, err
	}
	l.Order, err = decimalOf(order)
	return l, err
}

// withWaste is the net with its waste, exactly.
func (n need) withWaste() rational.Number {
	percent := value(n.waste)
	if percent.IsZero() {
		return n.net
	}
	return money.Rational(percent).Quo(hundred).Add(one).Mul(n.net)
}

// order is what is bought of the need, in whole packs of the unit it is sold by.
func (n need) order(o Offer) rational.Number {
	return ceiling(o.inSold(ceiling(n.withWaste(), one)), o.packed())
}

// appendOrder appends how the net became the order; nothing where it is the order.
func appendOrder(steps []Step, net, withWaste, needed, order rational.Number, l *Line, offer *Offer, unit string) []Step {
	if net.Cmp(needed) != 0 {
		id, inputs := "order.round", append(make([]Input, 0, 2), Input{"net", number(net), unit})
		if !l.WastePercent.IsZero() {
			id, inputs = "order.waste", append(inputs, Input{"waste", l.WastePercent.Trim(0).String(), "%"})
		}
		steps = append(steps, step(id, "", inputs...).
			rounded(amount(withWaste, unit), "rounded up once for the job", amount(needed, unit)))
	}
	if offer.ratio.Sign() != 0 {
		sold := offer.inSold(needed)
		steps = append(steps, step("order.unit", "", Input{"needed", number(needed), unit},
			Input{"ratio", fraction(offer.ratio), string(l.OrderUnit) + "/" + string(l.Unit)}).
			exactly(amount(sold, string(l.OrderUnit))))
		needed, unit = sold, string(l.OrderUnit)
	}
	if needed.Cmp(order) != 0 {
		steps = append(steps, step("order.pack", "",
			Input{"needed", number(needed), unit}, Input{"pack", l.Pack.Trim(0).String(), unit}).
			rounded(amount(needed.Quo(money.Rational(l.Pack)), "pack"), "rounded up to whole packs", amount(order, unit)))
	}
	return steps
}

var one, hundred = rational.Int(1), rational.Int(100)

// ceiling is the least whole multiple of unit, which is above zero, that is at
// least r.
func ceiling(r, unit rational.Number) rational.Number { return r.Quo(unit).Ceil().Mul(unit) }

// decimalOf is r, zero or more, as a decimal: exact where it ends within nine
// decimals, else to four, half up.
func decimalOf(r rational.Number) (decimal.Decimal, error) {
	switch {
	case r.IsInt():
		return newDecimal(r, 0)
	case r.Mul(rational.TenTo(9)).IsInt():
		return newDecimal(r, 9)
	default:
		return newDecimal(r.HalfUp(4), 4)
	}
}

// newDecimal is r, which ends within so many decimals.
func newDecimal(r rational.Number, places int) (decimal.Decimal, error) {
	units, fits := r.Mul(rational.TenTo(places)).Int64()
	d, err := decimal.New(units, places)
	if err != nil || !fits {
		return decimal.Decimal{}, fault.New(fault.Exhausted, "AMOUNT_OUT_OF_RANGE",
			"a quantity needs more than the %d digits a decimal holds", decimal.MaxPrec)
	}
	return d.Trim(0), nil
}

// fraction is r as a decimal where it ends within twelve, else as a fraction.
func fraction(r rational.Number) string {
	if d, exact, err := money.FromRat(r.Big(), 12); exact && err == nil {
		return d.String()
	}
	return r.String()
}

func whole(n int) rational.Number { return rational.Int(n) }

// countOf is a whole number of things.
func countOf(r rational.Number) int {
	n, _ := r.Int64()
	return int(n)
}

// quotient is a over b, exactly; b is not zero.
func quotient(a, b measure.Length) rational.Number { return rational.Of(a, b) }
