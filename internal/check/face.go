package check

import (
	"math/big"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/money"
)

// endsNotCovered is said wherever wind is: the sources used give one coefficient
// for the middle of a run.
const endsNotCovered = "free ends and corners, where wind is stronger, are not covered"

// Face is what the wind meets of one bay.
type Face struct {
	// Height is from grade to the top, Clearance the open gap at the bottom.
	Height, Clearance measure.Length
	// Bay is the width that one post takes: on centre, half a bay each side.
	Bay measure.Length
	// Run is the length of the whole straight fence that the bay is part of.
	Run measure.Length
	// Solid is the solid part of the outline, 1 for boards side by side, 0.8
	// with a fifth of it open; nil is "not known".
	Solid *decimal.Decimal
	// Where names the fence that the bay is part of, for the text: "the stretch
	// from P1 to P7". Empty: it is not told.
	Where string
}

// in is Where for the end of a phrase, and named its figure.
func (f Face) in() string {
	if f.Where == "" {
		return ""
	}
	return ", in " + f.Where
}

func (f Face) named(figures ...Figure) []Figure {
	if f.Where != "" {
		figures = append(figures, Figure{Name: "where", Value: f.Where})
	}
	return figures
}

func (f Face) validate(v *fault.List) {
	v.Require(f.Height > 0 && f.Height <= maxFace, "height", "expected more than 0 and at most %s, found %s", maxFace, f.Height)
	v.Require(f.Clearance >= 0 && f.Clearance < max(f.Height, 1), "clearance", "expected 0 or more and less than the height %s, found %s", f.Height, f.Clearance)
	if v.Require(f.Bay > 0 && f.Bay <= maxFace, "bay", "expected more than 0 and at most %s, found %s", maxFace, f.Bay) {
		v.Require(f.Run >= f.Bay && f.Run <= measure.MaxLength, "run", "expected from the bay's %s to %s, found %s", f.Bay, measure.MaxLength, f.Run)
	}
	if f.Solid != nil {
		v.Require(within(*f.Solid, "0", "1") && !f.Solid.IsZero(), "solid", "expected more than 0 and at most 1, found %s", f.Solid)
	}
}

func (f Face) depth() measure.Length { return f.Height - f.Clearance }

// area is that of the bay's outline, openings included, in square feet.
func (f Face) area() *big.Rat { return product(feet(f.depth()), feet(f.Bay)) }

// resultant is the height of the force above grade: 0.55 of the height for a
// wall that stands on the ground [WL-9]; the middle of the outline where a gap
// under the fence puts that higher.
func (f Face) resultant() measure.Length {
	return max(fromFeet(product(ratio("0.55"), feet(f.Height))), f.Clearance+f.depth()/2)
}

// tooOpen reports openings of 30 % or more, which WL-12 says nothing about.
func (f Face) tooOpen() bool { return money.Rat(*f.Solid).Cmp(ratio("0.7")) <= 0 }

// Load is a horizontal force on one post. A nil figure is "not known".
type Load struct {
	// Pressure is what the wind exerts on the solid face, in psf.
	Pressure *decimal.Decimal
	// Ultimate is the force by the ultimate wind speed and Design what footing
	// and bending are reckoned with, both in pounds to the hundredth. A flat
	// rule has only the latter.
	Ultimate, Design *decimal.Decimal
	// At is the height of the force above grade.
	At measure.Length
}
