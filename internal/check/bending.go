package check

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/timber"
)

// windDuration is CD, by which short loads such as wind may stress wood higher
// [NDS 2018 Table 2.3.2, WD-6].
const windDuration = "1.60"

// PostOption is a post that may be chosen: sawn wood, a round pole of wood, a
// steel pipe, or a square steel tube.
type PostOption struct {
	Name string
	// Sawn is a size, or Outside and Wall are a pipe's, or where Square a tube's.
	// A pole of Wood is solid: Wall is half of Outside.
	Sawn          timber.Size
	Outside, Wall measure.Length
	Square, Wood  bool
	// Fb is the stated design value in psi and FbSource who states it. Without
	// it a sawn post takes the table's [WD-2], where that serves its size; a
	// pipe's is an allowable stress, and has no table.
	Fb       *decimal.Decimal
	FbSource string
}

// Bending asks which posts carry a lateral load as a cantilever: load x height
// at grade, against section modulus x allowable stress. Wood's is Fb x CD; other
// adjustments (wet service, notches, size) are not applied, nor is the larger
// moment looked for that a post held by the ground alone has below grade.
type Bending struct {
	// Load in pounds at a height At above grade, as for Footing; nil is "not
	// known".
	Load *decimal.Decimal
	At   measure.Length
	// Species and Grade pick design values from the table, those that hold On a
	// date.
	Species, Grade string
	On             civil.Date
	Options        []PostOption
}

// Validate notes everything wrong with the input; see Check.
func (b Bending) Validate(v *fault.List) {
	if b.Load != nil {
		v.Require(within(*b.Load, "0", maxLoad), "load", "expected 0 to %s lb, found %s", maxLoad, b.Load)
	}
	v.Require(b.At >= 0 && b.At <= maxReach, "at", "expected 0 to %s above grade, found %s", maxReach, b.At)
	v.Require(len(b.Options) > 0, "options", "expected at least one post, found none")
	for i, o := range b.Options {
		o.validate(v.At("options").Index(i))
	}
}

func (o PostOption) validate(v *fault.List) {
	v.Require(o.Name != "", "name", "expected a name, found nothing")
	if o.Sawn != "" {
		v.Require(o.Sawn.Known(), "sawn", "expected one of %v, found %q", timber.Sizes(), o.Sawn)
		v.Require(o.Outside == 0 && o.Wall == 0, "outside", "expected a sawn size or a pipe, found both")
	} else if v.Require(o.Outside > 0 && o.Outside <= maxReach, "outside", "expected a sawn size, or a pipe of more than 0 and at most %s, found %s", maxReach, o.Outside) {
		v.Require(o.Wall > 0 && 2*o.Wall <= o.Outside, "wall", "expected more than 0 and at most half of %s, found %s", o.Outside, o.Wall)
	}
	if o.Fb != nil {
		v.Require(within(*o.Fb, "1", "1000000"), "fb", "expected 1 to 1000000 psi, found %s", o.Fb)
		v.Require(o.FbSource != "", "fb_source", "expected who states the design value, found nothing")
	}
}

// Check is a result for each option, in their order, then one of code PostChoice
// for the least that passes, by section modulus; chosen is its index, or -1. An
// Invalid error lists everything wrong with the input.
func (b Bending) Check() (chosen int, results []Result, err error) {
	v := new(fault.List)
	b.Validate(v)
	if err := v.Err(); err != nil {
		return -1, nil, err
	}
	chosen = -1
	for i, o := range b.Options {
		r := b.option(o).Under(fmt.Sprintf("options[%d]", i))
		results = append(results, r)
		if r.Outcome == Pass && (chosen < 0 || o.modulus().Cmp(b.Options[chosen].modulus()) < 0) {
			chosen = i
		}
	}
	return chosen, append(results, b.choice(chosen, results)), nil
}

func (b Bending) option(o PostOption) Result {
	fb, factor, source, edition, ok := b.stress(o)
	switch {
	case b.Load == nil:
		return result(PostBending, NotEnoughData, "", "The lateral load on the post is not known, so the bending of "+o.Name+" is not either.")
	case !ok:
		return result(PostBending, NotEnoughData, "fb", fmt.Sprintf(
			"No stated design value serves %s%s (section modulus %s in3), so its bending cannot be judged; %s.", o.Name, b.asked(o), o.modulus().FloatString(3), knownValues(o)),
			fixed("section modulus", o.modulus(), 4, "in3"))
	}
	moment := product(money.Rat(*b.Load), inches(b.At))
	allowed := product(money.Rat(fb), factor)
	stress := new(big.Rat).Quo(moment, o.modulus())
	text := fmt.Sprintf("%s lb at %s bends %s to %s psi at grade; %s psi is allowed for wind, with other adjustments and what bends it more below grade left out.",
		b.Load, b.At.Imperial(), o.upright(), stress.FloatString(0), allowed.FloatString(0))
	return result(PostBending, passIf(stress.Cmp(allowed) <= 0), "", text,
		given("load", *b.Load, "lb"), inFeet("at", b.At), fixed("moment", moment, 0, "in-lb"), fixed("section modulus", o.modulus(), 4, "in3"),
		fixed("stress", stress, 1, "psi"), given("stated design value", fb, "psi"), fixed("load duration factor", factor, 2, ""),
		fixed("allowed", allowed, 1, "psi")).from(source, edition)
}

// stress is the design value of an option, the factor on it and whose it is.
func (b Bending) stress(o PostOption) (fb decimal.Decimal, factor *big.Rat, source, edition string, ok bool) {
	const duration = "; NDS 2018 Table 2.3.2"
	switch {
	case o.Fb != nil && o.Sawn == "" && !o.Wood:
		return *o.Fb, big.NewRat(1, 1), o.FbSource, "as stated", true
	case o.Fb != nil:
		return *o.Fb, ratio(windDuration), o.FbSource + duration, "as stated", true
	case o.Sawn == "":
		return fb, nil, "", "", false
	}
	value, ok := DesignValueOf(b.Species, b.Grade, o.Sawn, b.On)
	return value.Fb, ratio(windDuration), value.Source + duration, value.Edition, ok
}

func (b Bending) choice(chosen int, results []Result) Result {
	switch {
	case chosen >= 0:
		text := "The least of the given posts that carries the load is " + b.Options[chosen].Name + "."
		return result(PostChoice, Pass, fmt.Sprintf("options[%d]", chosen), text, Figure{Name: "post", Value: b.Options[chosen].Name})
	case slices.ContainsFunc(results, func(r Result) bool { return r.Outcome == NotEnoughData }):
		return result(PostChoice, NotEnoughData, "options", "No given post is known to carry the load, and not all could be judged.")
	default:
		return result(PostChoice, Fail, "options", "None of the given posts carries the load.")
	}
}

// asked is the species and grade that the table was asked for.
func (b Bending) asked(o PostOption) string {
	if o.Sawn == "" || b.Species == "" {
		return ""
	}
	return fmt.Sprintf(" of %s %s", b.Species, b.Grade)
}

// knownValues says what a design value could come from.
func knownValues(o PostOption) string {
	if o.Sawn == "" {
		return "the job has to state one"
	}
	var known []string
	for _, v := range designValues {
		if name := fmt.Sprintf("%s %s of %s to %s", v.Species, v.Grade, v.Narrowest.Inches(0), v.Widest.Inches(0)); !slices.Contains(known, name) {
			known = append(known, name)
		}
	}
	return "known here is " + strings.Join(known, ", ") + "; for others the job has to state one"
}

// upright is an option's name, with how it stands where that matters.
func (o PostOption) upright() string {
	if thickness, width := o.Sawn.Dressed(); thickness != width {
		return o.Name + ", its wider side along the wind,"
	}
	return o.Name
}

func (o PostOption) modulus() *big.Rat {
	if o.Sawn != "" {
		return SawnModulus(o.Sawn)
	}
	if o.Square {
		return TubeModulus(o.Outside, o.Wall)
	}
	return PipeModulus(o.Outside, o.Wall)
}
