package quote

import (
	"cmp"
	"slices"

	"github.com/govalues/decimal"
	"golang.org/x/text/unicode/norm"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/money"
)

// Limits of a request's pricing.
const (
	MostPreferred = 100
	MostStaleDays = 36_500
)

// Kinds lists every kind of line, in the order totals name them.
func Kinds() []Kind {
	return []Kind{Material, LabourKind, Equipment, Subcontract, Fee, Discount}
}

// StaleAfterDays is half a year, common practice for price lists of building
// material.
const StaleAfterDays = 180

// WithDefaults fills what may be left out: prices stale after StaleAfterDays,
// profit as markup, tax on price, rounded half up on the whole invoice.
func (p Pricing) WithDefaults() Pricing {
	if p.StaleAfterDays == nil {
		p.StaleAfterDays = new(StaleAfterDays)
	}
	p.Profit = cmp.Or(p.Profit, Markup)
	p.Tax.Basis = cmp.Or(p.Tax.Basis, OnPrice)
	p.Tax.Rounding = cmp.Or(p.Tax.Rounding, money.HalfUp)
	kinds := slices.Clone(p.Tax.Kinds)
	slices.SortFunc(kinds, func(a, b Kind) int {
		return cmp.Compare(slices.Index(Kinds(), a), slices.Index(Kinds(), b))
	})
	p.Tax.Kinds = slices.Compact(kinds)
	return p
}

// Normalised is r with every text in Unicode NFC, so that two spellings of one
// name have one fingerprint.
func (r Request) Normalised() Request {
	text := norm.NFC.String
	r.Customer, r.ExternalRef = text(r.Customer), text(r.ExternalRef)
	r.Site.Runs = slices.Clone(r.Site.Runs)
	for i := range r.Site.Runs {
		run := &r.Site.Runs[i]
		run.ID, run.Gates, run.KeepOuts = text(run.ID), slices.Clone(run.Gates), slices.Clone(run.KeepOuts)
		run.Start.LinePostOf, run.End.LinePostOf = text(run.Start.LinePostOf), text(run.End.LinePostOf)
		for j := range run.Gates {
			run.Gates[j].ID = text(run.Gates[j].ID)
		}
		for j := range run.KeepOuts {
			run.KeepOuts[j].ID = text(run.KeepOuts[j].ID)
		}
	}
	r.Site.Obstacles = slices.Clone(r.Site.Obstacles)
	for i := range r.Site.Obstacles {
		r.Site.Obstacles[i].ID = text(r.Site.Obstacles[i].ID)
	}
	around := &r.Site.Conditions
	strength := &around.PostStrength
	strength.Species, strength.Grade, strength.Source = text(strength.Species), text(strength.Grade), text(strength.Source)
	around.Sights = slices.Clone(around.Sights)
	for i := range around.Sights {
		around.Sights[i].Name = text(around.Sights[i].Name)
	}
	if around.Notice != nil {
		around.Notice = new(*around.Notice)
		around.Notice.Rule = text(around.Notice.Rule)
	}
	r.Spec.Name = text(r.Spec.Name)
	if r.Spec.Items != nil {
		items := make(map[string]string, len(r.Spec.Items))
		for name, item := range r.Spec.Items {
			items[text(name)] = text(item)
		}
		r.Spec.Items = items
	}
	r.Custom = slices.Clone(r.Custom)
	for i := range r.Custom {
		r.Custom[i].Description = text(r.Custom[i].Description)
	}
	return r
}

// Plan checks the request (all but its prices) and lays the site out. The
// error lists everything wrong with the request, the site and the spec.
func Plan(r Request) (*layout.Layout, error) {
	if err := RulesSupported(r.RulesVersion); err != nil {
		return nil, err
	}
	v := &fault.List{}
	r.validate(v)
	r.requireKnown(v)
	l, err := layout.PlanAs(r.RulesVersion, r.Site, r.Spec)
	if err := v.Merge(err); err != nil {
		return nil, err
	}
	return l, v.Err()
}

// Items are those whose prices the request holds.
func (r Request) Items() []string {
	items := make([]string, len(r.Prices))
	for i, p := range r.Prices {
		items[i] = p.Item
	}
	return items
}

// RulesSupported is Refused (RULES_UNSUPPORTED) for a version of the rules that
// this program cannot run.
func RulesSupported(version int) error {
	if version < MinRulesVersion || version > RulesVersion {
		return fault.New(fault.Refused, "RULES_UNSUPPORTED",
			"the quote was made by rules version %d; this program can run %d to %d", version, MinRulesVersion, RulesVersion)
	}
	return nil
}

func (r Request) validate(v *fault.List) {
	if r.Currency.IsZero() {
		v.Add("currency", "a currency code is expected, such as USD")
	}
	if !r.AsOf.IsZero() && !r.ValidUntil.IsZero() {
		v.Require(r.ValidUntil.Compare(r.AsOf) >= 0, "valid_until", "%s is before the date its prices hold for, %s", r.ValidUntil, r.AsOf)
	}
	lines := v.At("custom_lines")
	for i, c := range r.Custom {
		c.validate(lines.Index(i))
	}
	r.Pricing.validate(v.At("pricing"))
}

func (c CustomLine) validate(v *fault.List) {
	v.Require(c.Description != "", "description", "a description is expected")
	v.Require(slices.Contains(Kinds(), c.Kind), "kind", "%q is not a kind of line; expected one of %v", c.Kind, Kinds())
	v.Require(c.Amount.IsPos(), "amount", "an amount over zero is expected, found %s (a discount is positive too)", c.Amount)
}

func (p Pricing) validate(v *fault.List) {
	hundred := decimal.Hundred
	suppliers := v.At("preferred_suppliers")
	v.Require(len(p.PreferredSuppliers) <= MostPreferred, "preferred_suppliers", "at most %d suppliers are expected, found %d", MostPreferred, len(p.PreferredSuppliers))
	for i, s := range p.PreferredSuppliers {
		suppliers.Index(i).Require(slices.Index(p.PreferredSuppliers, s) == i, "", "each supplier is expected once, found %q again", s)
	}
	if p.StaleAfterDays != nil {
		v.Require(*p.StaleAfterDays >= 0 && *p.StaleAfterDays <= MostStaleDays, "stale_after_days",
			"days from 0 (never) to %d are expected, found %d", MostStaleDays, *p.StaleAfterDays)
	}
	percent := func(field string, d decimal.Decimal, most decimal.Decimal) {
		v.Require(!d.IsNeg() && d.Cmp(most) <= 0, field, "a percentage from 0 to %s is expected, found %s", most, d)
		v.Require(d.Trim(0).Scale() <= 6, field, "at most 6 decimals are expected, found %s", d)
	}
	percent("overhead_percent", p.OverheadPercent, decimal.Thousand)
	switch p.Profit {
	case Markup:
		percent("profit_percent", p.ProfitPercent, decimal.Thousand)
	case Margin:
		percent("profit_percent", p.ProfitPercent, hundred)
		v.Require(p.ProfitPercent.Cmp(hundred) < 0, "profit_percent", "a margin must be under 100: it is a share of the price")
	default:
		v.Add("profit", "%q is not a kind of profit; expected %s or %s", p.Profit, Markup, Margin)
	}
	t := v.At("tax")
	percent("tax.percent", p.Tax.Percent, hundred)
	t.Require(p.Tax.Basis == OnPrice || p.Tax.Basis == OnMaterialCost, "basis", "%q is not a basis; expected %s or %s", p.Tax.Basis, OnPrice, OnMaterialCost)
	if _, err := money.ParseRounding(string(p.Tax.Rounding)); err != nil {
		t.Add("rounding", "%v", err)
	}
	if p.Tax.Basis == OnPrice && p.Tax.Percent.IsPos() {
		t.Require(len(p.Tax.Kinds) > 0, "kinds", "say which kinds of line are taxable; expected some of %v", Kinds())
	}
	for i, k := range p.Tax.Kinds {
		if !slices.Contains(Kinds(), k) || k == Discount {
			t.At("kinds").Index(i).Add("", "%q cannot be taxable; expected one of %v", k, Kinds()[:len(Kinds())-1])
		}
	}
}
