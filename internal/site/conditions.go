package site

import (
	"github.com/govalues/decimal"

	"wattle/internal/civil"
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
	// Rule is one of NoticeRules, in large or small letters.
	Rule string
	// Given is the day, and Hour the hour of it, 0 to 23; nil is not known, which
	// is read as the end of the day.
	Given civil.Date
	Hour  *int
	// Holidays are no working days.
	Holidays []civil.Date
}

// NoticeRules names the notice rules that are known: the rows of package check's
// table, which a test there holds to this list. The slice is the caller's own.
func NoticeRules() []string { return []string{"texas", "nebraska", "alabama"} }
