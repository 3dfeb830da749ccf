package site

import (
	"math/big"
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Bounds of what is told of the surroundings.
const (
	mostOldFences = 100
	mostHolidays  = 400
	mostSights    = 100
	fastestWind   = 300 // mph
)

func (c Conditions) validate(v *fault.List) {
	v.Require(c.SoilClass >= 0 && c.SoilClass <= 5, "soil_class", "expected 1 to 5, or 0 where it is not known, found %d", c.SoilClass)
	for _, x := range []struct{ field, name string }{{"digging", c.Digging}, {"access", c.Access}, {"grade", c.Grade}, {"season", c.Season}} {
		v.Require(strings.Trim(x.name, "abcdefghijklmnopqrstuvwxyz0123456789-") == "" && len(x.name) <= 40, x.field, "expected a name in small letters such as rocky, found %q", x.name)
	}
	w := v.At("wind")
	w.Require(c.Wind.Speed >= 0 && c.Wind.Speed <= fastestWind, "speed", "expected between 0 and %d mph, found %d", fastestWind, c.Wind.Speed)
	w.Require(slices.Contains([]string{"", "B", "C", "D"}, c.Wind.Exposure), "exposure", "expected B, C or D, found %q", c.Wind.Exposure)
	w.Require(c.Wind.Speed == 0 || c.Wind.Exposure != "", "exposure", "a wind speed needs its exposure: B, C or D")
	orZero(w, "topography", c.Wind.Topography, "0.01", "3")
	orZero(w, "flat", c.Wind.Flat, "1", "1000")
	v.Require(len(c.TearOut) <= mostOldFences, "tear_out", "expected at most %d, found %d", mostOldFences, len(c.TearOut))
	for i, o := range c.TearOut {
		at := v.At("tear_out").Index(i)
		between(at, "length", o.Length, 0, measure.MaxLength)
		between(at, "height", o.Height, 0, 100*measure.Foot)
		at.Require(o.Footings >= 0 && o.Footings <= 100_000, "footings", "expected between 0 and 100000, found %d", o.Footings)
		positive(at, "pounds_per_foot", o.PoundsPerFoot)
		positive(at, "cubic_feet_per_foot", o.CubicFeetPerFoot)
		positive(at, "footing_pounds", o.FootingPounds)
		positive(at, "footing_cubic_feet", o.FootingCubicFeet)
	}
	if p := c.Pool; p != nil {
		at := v.At("pool")
		between(at, "min_height", p.MinHeight, 0, 100*measure.Foot)
		between(at, "max_mesh", p.MaxMesh, 0, 100*measure.Foot)
		for _, x := range []struct {
			field  string
			length *measure.Length
		}{{"bottom_gap", p.BottomGap}, {"largest_gap", p.LargestGap}, {"rails_apart", p.RailsApart}, {"mesh", p.Mesh},
			{"latch_height", p.LatchHeight}, {"latch_below_top", p.LatchBelowTop}, {"latch_opening", p.LatchOpening}} {
			if x.length != nil {
				between(at, x.field, *x.length, 0, 100*measure.Foot)
			}
		}
	}
	y := v.At("yard")
	y.Require(slices.Contains([]string{"", "front", "side", "rear"}, c.Yard.Name), "name", "expected front, side or rear, found %q", c.Yard.Name)
	between(y, "max_height", c.Yard.MaxHeight, 0, 100*measure.Foot)
	between(y, "permit_over", c.Yard.PermitOver, 0, 100*measure.Foot)
	v.Require(len(c.Sights) <= mostSights, "sights", "expected at most %d, found %d", mostSights, len(c.Sights))
	for i, s := range c.Sights {
		at := v.At("sights").Index(i)
		for j, p := range s.Corners {
			between(at.At("corners").Index(j), "east", p.East, -measure.MaxLength, measure.MaxLength)
			between(at.At("corners").Index(j), "north", p.North, -measure.MaxLength, measure.MaxLength)
		}
		at.Require(!s.flat(), "corners", "expected three points not on one line, found %v", s.Corners)
		between(at, "max_height", s.MaxHeight, 0, 100*measure.Foot)
	}
	between(v, "rail_span", c.RailSpan, 0, 100*measure.Foot)
	orZero(v.At("footing"), "bearing", c.Footing.Bearing, "1", "100000")
	orZero(v.At("footing"), "fixed_s1", c.Footing.FixedS1, "1", "100000")
	strength := v.At("post_strength")
	orZero(strength, "fb", c.PostStrength.Fb, "1", "1000000")
	strength.Require(c.PostStrength.Fb.IsZero() || c.PostStrength.Source != "", "source", "a design value needs who states it")
	strength.Require((c.PostStrength.Species == "") == (c.PostStrength.Grade == ""), "grade", "expected a species and a grade together")
	if c.Notice != nil {
		c.Notice.validate(v.At("notice"))
	}
}

func (n Notice) validate(v *fault.List) {
	known := slices.ContainsFunc(NoticeRules(), func(rule string) bool { return strings.EqualFold(rule, n.Rule) })
	v.Require(known, "rule", "expected the rule of the locating service, one of %s, found %q", strings.Join(NoticeRules(), ", "), n.Rule)
	v.Require(!n.Given.IsZero(), "given", "expected the day on which notice is given")
	if n.Hour != nil {
		v.Require(*n.Hour >= 0 && *n.Hour <= 23, "hour", "expected between 0 and 23, found %d", *n.Hour)
	}
	v.Require(len(n.Holidays) <= mostHolidays, "holidays", "expected at most %d, found %d", mostHolidays, len(n.Holidays))
}

// flat reports a triangle whose corners lie on one line, which has no inside.
func (s Sight) flat() bool {
	along, to := s.Corners[1].Sub(s.Corners[0]), s.Corners[2].Sub(s.Corners[0])
	left := new(big.Int).Mul(big.NewInt(int64(along.East)), big.NewInt(int64(to.North)))
	right := new(big.Int).Mul(big.NewInt(int64(along.North)), big.NewInt(int64(to.East)))
	return left.Cmp(right) == 0
}

// orZero notes a number that is neither zero, which is "not given", nor within
// what its check accepts.
func orZero(v *fault.List, field string, d decimal.Decimal, least, most string) {
	if !d.IsZero() && (d.Cmp(decimal.MustParse(least)) < 0 || d.Cmp(decimal.MustParse(most)) > 0) {
		v.Add(field, "expected %s to %s, or 0 where it is not given, found %s", least, most, d)
	}
}

// positive notes a number that is below zero or past any sense.
func positive(v *fault.List, field string, d decimal.Decimal) {
	if d.IsNeg() || d.Cmp(decimal.MustNew(1_000_000, 0)) > 0 {
		v.Add(field, "expected between 0 and 1000000, found %s", d)
	}
}

// between notes a length out of its bounds.
func between(v *fault.List, field string, l, least, most measure.Length) {
	if l < least || l > most {
		v.Add(field, "expected between %s and %s, found %s", least, most, l)
	}
}
