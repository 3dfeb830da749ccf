package site

import (
	"slices"
	"strings"

	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Conditions are what a job finds around the fence: the soil, the wind, what
// stands there now, and what the town says. All of it is optional; a check whose
// figures are missing says so. Nothing of it moves a post.
type Conditions struct {
	// SoilClass is the class of material by which footings bear sideways, 1
	// (crystalline bedrock) to 5 (clay) [FT-13]; 0 is not known. Unsuitable: peat,
	// organic or unprepared fill, which bears nothing without data.
	SoilClass  int
	Unsuitable bool
	// Digging, Access, Grade and Season name the factors by which tasks take
	// longer, as the price book has them: Digging "rocky" is the item
	// factor-digging-rocky. Empty: no factor.
	Digging, Access, Grade, Season string
	Wind                           Wind
	Footing                        Footing
	PostStrength                   PostStrength
	// RailSpan is how far rails may span, as their maker or the town says; zero:
	// not stated.
	RailSpan measure.Length
	// TearOut is old fence to take out and haul away.
	TearOut []OldFence
	Pool    *Pool
	Yard    Yard
	Sights  []Sight
	Notice  *Notice
}

// Footing is how footings are judged. Zero values: by the soil's class, without
// the pole factor.
type Footing struct {
	// PoleFactor doubles what soil bears sideways, only where half an inch of
	// movement at grade does no harm [IBC 1806.3.4].
	PoleFactor bool
	// Bearing is a stated lateral bearing in psf per foot of depth, in place of
	// the class's; FixedS1 a fixed lateral pressure in psf, as many sheets use.
	Bearing, FixedS1 decimal.Decimal
}

// PostStrength is what bends posts: a stated design value, or the species and
// grade of a table's. The zero value: not known.
type PostStrength struct {
	Species, Grade string
	// Fb in psi, and who states it.
	Fb     decimal.Decimal
	Source string
}

// Sight is a triangle at a street corner or a drive in which a town keeps the
// view free, in the site's coordinates.
type Sight struct {
	Name      string
	Corners   [3]measure.Point
	MaxHeight measure.Length
}

// Wind is the wind the fence stands in. A zero Speed and Flat: not known.
type Wind struct {
	// Speed is the basic (ultimate) speed in miles per hour.
	Speed int
	// Exposure is "B", "C" or "D".
	Exposure string
	// Topography is Kzt; zero is 1.
	Topography decimal.Decimal
	// Flat is a town's flat pressure in psf [WL-16], in place of a speed.
	Flat decimal.Decimal
}

// OldFence is a stretch of fence that is taken out.
type OldFence struct {
	Length, Height measure.Length
	// Footings are posts whose concrete is dug out.
	Footings int
	// PoundsPerFoot and CubicFeetPerFoot are what a foot of it weighs and fills
	// on the truck; FootingPounds and FootingCubicFeet what one footing does.
	// Zero: not counted.
	PoundsPerFoot, CubicFeetPerFoot, FootingPounds, FootingCubicFeet decimal.Decimal
}

// Pool is what a barrier around a pool is measured by; nil: not measured.
type Pool struct {
	// MinHeight and MaxMesh are the town's own limits; zero: the usual ones.
	MinHeight, MaxMesh measure.Length
	// BottomGap is the widest gap under the barrier; OverDeck: it stands over a
	// solid deck, not over grade.
	BottomGap *measure.Length
	OverDeck  bool
	// LargestGap is the widest between upright members.
	LargestGap *measure.Length
	// RailsInside: horizontal members stand on the pool side. RailsApart is how
	// far the tops of the two lowest stand apart.
	RailsInside *bool
	RailsApart  *measure.Length
	// Mesh of chain link; Slatted: it has slats.
	Mesh    *measure.Length
	Slatted bool
	// What the gate does, and where its latch is released.
	OpensOutward, SelfClosing, SelfLatching *bool
	LatchHeight                             *measure.Length
	LatchInside                             *bool           // released on the pool side
	LatchBelowTop                           *measure.Length // below the top of the gate
	LatchOpening                            *measure.Length // largest opening within 18 in of it
}

// Yard is what a town allows where the fence stands. A zero length: not given.
type Yard struct {
	// Name of the yard: front, side or rear.
	Name string
	// MaxHeight there.
	MaxHeight measure.Length
	// PermitOver is the height above which a permit is needed [PZ-1].
	PermitOver measure.Length
}

// Notice is the notice given to have utilities located.
type Notice struct {
	// Rule names a row of package check's table: "texas".
	Rule string
	// Given is the day, and Hour the hour of it, 0 to 23.
	Given civil.Date
	Hour  int
	// Holidays are no working days.
	Holidays []civil.Date
}

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
	positive(w, "topography", c.Wind.Topography)
	positive(w, "flat", c.Wind.Flat)
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
		between(at, "max_height", s.MaxHeight, 0, 100*measure.Foot)
	}
	between(v, "rail_span", c.RailSpan, 0, 100*measure.Foot)
	positive(v.At("footing"), "bearing", c.Footing.Bearing)
	positive(v.At("footing"), "fixed_s1", c.Footing.FixedS1)
	strength := v.At("post_strength")
	positive(strength, "fb", c.PostStrength.Fb)
	strength.Require(c.PostStrength.Fb.IsZero() || c.PostStrength.Source != "", "source", "a design value needs who states it")
	strength.Require((c.PostStrength.Species == "") == (c.PostStrength.Grade == ""), "grade", "expected a species and a grade together")
	if n := c.Notice; n != nil {
		at := v.At("notice")
		at.Require(n.Rule != "", "rule", "expected the rule of the locating service, such as texas")
		at.Require(!n.Given.IsZero(), "given", "expected the day on which notice is given")
		at.Require(n.Hour >= 0 && n.Hour <= 23, "hour", "expected between 0 and 23, found %d", n.Hour)
		at.Require(len(n.Holidays) <= mostHolidays, "holidays", "expected at most %d, found %d", mostHolidays, len(n.Holidays))
	}
}

// positive notes a number that is below zero or past any sense.
func positive(v *fault.List, field string, d decimal.Decimal) {
	v.Require(!d.IsNeg() && d.Cmp(decimal.MustNew(1_000_000, 0)) <= 0, field, "expected between 0 and 1000000, found %s", d)
}

// between notes a length out of its bounds.
func between(v *fault.List, field string, l, least, most measure.Length) {
	v.Require(l >= least && l <= most, field, "expected between %s and %s, found %s", least, most, l)
}
