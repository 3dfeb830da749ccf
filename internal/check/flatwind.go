package check

import (
	"fmt"
	"math/big"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
)

// FlatRule is a town's wind load on fences in one figure.
type FlatRule struct {
	PSF             decimal.Decimal
	Source, Edition string
}

// FlatRules are the rules known here, for a job to pick from. The slice is the
// caller's own.
func FlatRules() []FlatRule {
	return []FlatRule{
		{PSF: decimal.MustNew(30, 0), Source: "Municipal Code of Chicago, fences", Edition: "as seen, undated"}, // [WL-16]
	}
}

// FlatWind asks what a flat rule puts on one bay: the rule's psf on the whole
// outline, openings or not, taken as a design load without the 0.6 of ultimate
// wind. Run and Solid of the face are not used.
type FlatWind struct {
	Face
	// Rule is nil where the town has none, or it is not known.
	Rule *FlatRule
}

// Validate notes everything wrong with the input; see Check.
func (w FlatWind) Validate(v *fault.List) {
	face := w.Face
	face.Run, face.Solid = face.Bay, nil
	face.validate(v)
	if w.Rule != nil {
		v.Require(within(w.Rule.PSF, "1", "1000"), "rule.psf", "expected 1 to 1000 psf, found %s", w.Rule.PSF)
		v.Require(w.Rule.Source != "", "rule.source", "expected where the rule was read, found nothing")
	}
}

// Check is as Wind.Check; the load has no Ultimate.
func (w FlatWind) Check() (Load, Result, error) {
	v := new(fault.List)
	w.Validate(v)
	if err := v.Err(); err != nil {
		return Load{}, Result{}, err
	}
	if w.Rule == nil {
		return Load{}, result(WindFlatRule, NotEnoughData, "rule", "No flat rule was given, so no wind load follows; "+endsNotCovered+"."), nil
	}
	psf := w.Rule.PSF.Trim(0)
	design := hundredths(product(money.Rat(psf), w.area()))
	l := Load{Pressure: &psf, Design: &design, At: w.resultant()}
	text := fmt.Sprintf("A flat %s psf puts %s lb on a bay %s wide and %s high%s, at %s above grade; %s.",
		psf, design, w.Bay.Imperial(), w.Height.Imperial(), w.in(), l.At.In(measure.Foot, 2), endsNotCovered)
	r := result(WindFlatRule, Advisory, "", text, w.named(
		given("pressure", psf, "psf"), fixed("area", w.area(), 2, "ft2"), given("design force", design, "lb"), inFeet("at", l.At))...)
	return l, r.from(w.Rule.Source, w.Rule.Edition), nil
}

// PostSpacing is what newspapers report of high-wind counties: how far apart 4x4
// posts may stand [WL-17]. It was not seen in a code, so its outcome is never
// Pass or Fail.
type PostSpacing struct {
	Height, Spacing measure.Length
}

// highWindSpacing is the most on centre for fences up to a height.
var highWindSpacing = []struct{ upTo, most measure.Length }{
	{4 * measure.Foot, 6 * measure.Foot},
	{5 * measure.Foot, 5 * measure.Foot},
	{6 * measure.Foot, 4 * measure.Foot},
}

// Validate notes everything wrong with the input; see Check.
func (p PostSpacing) Validate(v *fault.List) {
	v.Require(p.Height > 0 && p.Height <= maxReach, "height", "expected more than 0 and at most %s, found %s", maxReach, p.Height)
	v.Require(p.Spacing > 0 && p.Spacing <= maxReach, "spacing", "expected more than 0 and at most %s, found %s", maxReach, p.Spacing)
}

// Check is one result, Advisory up to 6 ft and NotEnoughData above; an Invalid
// error lists everything wrong with the input.
func (p PostSpacing) Check() (Result, error) {
	v := new(fault.List)
	p.Validate(v)
	if err := v.Err(); err != nil {
		return Result{}, err
	}
	for _, row := range highWindSpacing {
		if p.Height > row.upTo {
			continue
		}
		word := "within"
		if p.Spacing > row.most {
			word = "over"
		}
		text := fmt.Sprintf("Newspapers report at most %s between 4x4 posts of fences up to %s in high-wind counties; %s is %s that.",
			row.most.Imperial(), row.upTo.Imperial(), p.Spacing.Imperial(), word)
		return result(PostSpacingHighWind, Advisory, "spacing", text,
			inFeet("height", p.Height), inFeet("spacing", p.Spacing), inFeet("reported most", row.most)), nil
	}
	return result(PostSpacingHighWind, NotEnoughData, "height",
		fmt.Sprintf("Newspaper reports on high-wind counties end at fences of 6 ft, and this one is %s.", p.Height.Imperial()),
		inFeet("height", p.Height), fixed("spacing", big.NewRat(int64(p.Spacing), int64(measure.Foot)), 2, "ft")), nil
}
