package check

import (
	"slices"

	"github.com/govalues/decimal"
)

// Soil is a class of the building code's table of presumptive values, or a
// ground that has none. The zero Soil is "not known".
type Soil string

const (
	Rock            Soil = "1" // crystalline bedrock
	SedimentaryRock Soil = "2" // and foliated rock
	Gravel          Soil = "3" // and sandy gravel
	Sand            Soil = "4" // silty and clayey sand and gravel
	Clay            Soil = "5" // sandy clay, silt
	Peat            Soil = "peat"
	OrganicSoil     Soil = "organic"
	UnpreparedFill  Soil = "unprepared-fill"
)

const (
	soilSource        = "IBC 1807.3.2.1; lateral bearing from Table 1806.2 as quoted"
	soilEdition       = "2012"
	statedBearing     = "IBC 1807.3.2.1; lateral bearing as stated by the job"
	poleFactorSection = "1806.3.4"
)

// lateralBearing is psf per foot below grade [IBC Table 1806.2 (2012) as
// quoted, FT-13]. What the soils of a class are called is from memory.
var lateralBearing = []struct {
	soil Soil
	psf  int64
}{
	{Rock, 1200}, {SedimentaryRock, 400}, {Gravel, 200}, {Sand, 150}, {Clay, 100},
}

// Soils lists every soil, those without a value last.
func Soils() []Soil {
	return []Soil{Rock, SedimentaryRock, Gravel, Sand, Clay, Peat, OrganicSoil, UnpreparedFill}
}

// Known reports whether s is one of Soils.
func (s Soil) Known() bool { return slices.Contains(Soils(), s) }

// LateralBearing is the allowable lateral bearing pressure in psf per foot below
// grade; not ok for peat, organic soil, unprepared fill and what is not known,
// which have none without data from the site [FT-13].
func (s Soil) LateralBearing() (psfPerFoot decimal.Decimal, ok bool) {
	for _, row := range lateralBearing {
		if row.soil == s {
			return decimal.MustNew(row.psf, 0), true
		}
	}
	return decimal.Decimal{}, false
}
