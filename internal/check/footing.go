package check

import (
	"fmt"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Footing asks whether a post's hole is deep enough for a lateral load, with
// nothing holding it at grade [IBC 1807.3.2.1]. It takes the allowable-stress
// load, for wind 0.6 W, which is Load.Design of a wind check.
type Footing struct {
	// Load is P in pounds and At its height h above grade; nil Load is "not
	// known".
	Load *decimal.Decimal
	At   measure.Length
	// Diameter of a round footing, or Side of a square one; the other is 0.
	Diameter, Side measure.Length
	// Soil gives the lateral bearing, unless Bearing states it, in psf per
	// foot, from data of the site.
	Soil    Soil
	Bearing *decimal.Decimal
	// FixedS1 asks for the fixed form besides: S1 in psf, any increase
	// included.
	FixedS1 *decimal.Decimal
	// PoleFactor doubles the bearing that is read by depth [1806.3.4]: only
	// where half an inch of movement at grade does no harm.
	PoleFactor bool
	// Depth is the planned embedment; nil asks for the figure only.
	Depth *measure.Length
}

// Validate notes everything wrong with a footing; see Check.
func (f Footing) Validate(v *fault.List) {
	if f.Load != nil {
		v.Require(within(*f.Load, "0", maxLoad), "load", "expected 0 to %s lb, found %s", maxLoad, f.Load)
	}
	v.Require(f.At >= 0 && f.At <= maxReach, "at", "expected 0 to %s above grade, found %s", maxReach, f.At)
	one := (f.Diameter == 0) != (f.Side == 0)
	if v.Require(one, "diameter", "expected either a diameter or a side of a square, found %s and %s", f.Diameter, f.Side) {
		b := max(f.Diameter, f.Side)
		v.Require(b >= measure.Inch && b <= maxReach/2, "diameter", "expected 1 in to %s across, found %s", maxReach/2, f.Diameter+f.Side)
	}
	v.Require(f.Soil == "" || f.Soil.Known(), "soil", "expected one of %v, found %q", Soils(), f.Soil)
	if f.Bearing != nil {
		v.Require(within(*f.Bearing, "1", maxBearing), "bearing", "expected 1 to %s psf per foot, found %s", maxBearing, f.Bearing)
	}
	if f.FixedS1 != nil {
		v.Require(within(*f.FixedS1, "1", maxBearing), "fixed_s1", "expected 1 to %s psf, found %s", maxBearing, f.FixedS1)
	}
	if f.Depth != nil {
		v.Require(*f.Depth > 0 && *f.Depth <= MaxEmbedment, "depth", "expected more than 0 and at most %s, found %s", MaxEmbedment, *f.Depth)
	}
}

// Check is one result by the iterated form, and a second by the fixed form where
// FixedS1 is given; an Invalid error lists everything wrong with the input.
func (f Footing) Check() ([]Result, error) {
	v := new(fault.List)
	f.Validate(v)
	if err := v.Err(); err != nil {
		return nil, err
	}
	results := []Result{f.iterated()}
	if f.FixedS1 != nil {
		results = append(results, f.fixed())
	}
	return results, nil
}

func (f Footing) iterated() Result {
	bearing, ok := f.Soil.LateralBearing()
	source, edition := soilSource, soilEdition
	if f.Bearing != nil {
		bearing, ok, source = *f.Bearing, true, statedBearing
	}
	switch {
	case f.Load == nil:
		return result(FootingEmbedment, NotEnoughData, "load", "The lateral load on the post is not known, so no embedment follows.")
	case !ok && f.Soil == "":
		return result(FootingEmbedment, NotEnoughData, "soil", "The soil is not known, so it has no lateral bearing to reckon with.")
	case !ok:
		return result(FootingEmbedment, NotEnoughData, "soil",
			fmt.Sprintf("Ground of the kind %q has no lateral bearing without data from the site.", f.Soil))
	}
	figures := append(f.figures(), given("lateral bearing", bearing, "psf/ft"))
	factor := "without the pole factor"
	if f.PoleFactor {
		factor = "with the pole factor 2 of " + poleFactorSection + ", right only where half an inch of movement at grade does no harm"
		figures = append(figures, Figure{Name: "pole factor", Value: "2"})
	}
	e, err := Embed(*f.Load, f.At, f.width(), bearing, f.PoleFactor)
	if err != nil { // the input is in range, so no depth is enough
		text := fmt.Sprintf("Under %s lb at %s no embedment up to %s is enough at %s psf per foot, %s.",
			f.Load, f.At.Imperial(), MaxEmbedment.Imperial(), bearing, factor)
		return result(FootingEmbedment, Fail, "depth", text, figures...).from(source, edition)
	}
	by := fmt.Sprintf("at %s psf per foot read a third of the way down, %s", bearing, factor)
	return f.judge(FootingEmbedment, e, by, figures).from(source, edition)
}

func (f Footing) fixed() Result {
	if f.Load == nil {
		return result(FootingEmbedmentFixed, NotEnoughData, "load", "The lateral load on the post is not known, so no embedment follows.")
	}
	e, err := EmbedFixed(*f.Load, f.At, f.width(), *f.FixedS1)
	if err != nil {
		return result(FootingEmbedmentFixed, NotEnoughData, "", "The input is out of range: "+err.Error()+".")
	}
	return f.judge(FootingEmbedmentFixed, e, fmt.Sprintf("at a fixed %s psf", f.FixedS1), f.figures())
}

// judge holds the planned depth against what is needed.
func (f Footing) judge(code string, e Embedment, by string, figures []Figure) Result {
	figures = append(figures, fixed("S1", e.S1, 2, "psf"), fixed("A", e.A, 3, "ft"), inFeet("needed", e.Depth))
	text := fmt.Sprintf("A lateral load of %s lb at %s on a footing %s across needs %s of embedment %s",
		f.Load, f.At.Imperial(), f.width().Inches(2), e.Depth.In(measure.Foot, 2), by)
	if f.Depth == nil {
		return result(code, Advisory, "depth", text+"; no depth was given to compare.", figures...)
	}
	figures = append(figures, inFeet("planned", *f.Depth))
	return result(code, passIf(*f.Depth >= e.Depth), "depth", text+"; "+f.Depth.In(measure.Foot, 2)+" is planned.", figures...)
}

func (f Footing) figures() []Figure {
	return []Figure{given("load", *f.Load, "lb"), inFeet("height of load", f.At), inFeet("width", f.width())}
}

func (f Footing) width() measure.Length {
	if f.Side > 0 {
		return Diagonal(f.Side)
	}
	return f.Diameter
}
