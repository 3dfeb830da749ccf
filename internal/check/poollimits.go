package check

import (
	"wattle/internal/fault"
	"wattle/internal/measure"
)

// PoolLimits are what a town asks of a barrier around a pool. Towns differ, so
// each is data; PoolDefaults are the usual ones.
type PoolLimits struct {
	// Source and Edition name the town's rule; empty is the usual ones'.
	Source, Edition string

	// Height is the least above grade on the side away from the pool.
	Height measure.Length
	// GapOverGrade and GapOverDeck are the most under the barrier, the latter
	// over a solid deck.
	GapOverGrade, GapOverDeck measure.Length
	// Sphere is the diameter of a ball that must pass nowhere.
	Sphere measure.Length
	// Rails nearer than RailSpacing, top to top, can be climbed: they go on the
	// pool side, and gaps between uprights are at most GapCloseRails, otherwise
	// GapFarRails.
	RailSpacing, GapCloseRails, GapFarRails measure.Length
	// Mesh is the widest chain-link mesh that needs no slats.
	Mesh measure.Length
	// A latch release lower than LatchHeight is on the pool side, at least
	// LatchBelow under the top, with no opening over LatchOpening within
	// LatchReach.
	LatchHeight, LatchBelow, LatchOpening, LatchReach measure.Length
}

// PoolDefaults are the limits that most of the rules seen share [PB-1..PB-7,
// PB-10..PB-12]. Some towns ask for a height of 60 in; a newer code allows 1.75
// in of mesh (from memory).
func PoolDefaults() PoolLimits {
	const in = measure.Inch
	return PoolLimits{
		Height:       48 * in,
		GapOverGrade: 2 * in, GapOverDeck: 4 * in,
		Sphere:      4 * in,
		RailSpacing: 45 * in, GapCloseRails: in * 7 / 4, GapFarRails: 4 * in,
		Mesh:        in * 5 / 4,
		LatchHeight: 54 * in, LatchBelow: 3 * in, LatchOpening: in / 2, LatchReach: 18 * in,
	}
}

// Validate notes every limit that is not positive.
func (l PoolLimits) Validate(v *fault.List) {
	for _, limit := range []struct {
		name string
		l    measure.Length
	}{
		{"height", l.Height}, {"gap_over_grade", l.GapOverGrade}, {"gap_over_deck", l.GapOverDeck}, {"sphere", l.Sphere},
		{"rail_spacing", l.RailSpacing}, {"gap_close_rails", l.GapCloseRails}, {"gap_far_rails", l.GapFarRails}, {"mesh", l.Mesh},
		{"latch_height", l.LatchHeight}, {"latch_below", l.LatchBelow}, {"latch_opening", l.LatchOpening}, {"latch_reach", l.LatchReach},
	} {
		v.Require(limit.l > 0 && limit.l <= maxReach, limit.name, "expected more than 0 and at most %s, found %s", maxReach, limit.l)
	}
	v.Require(l.GapCloseRails <= l.GapFarRails, "gap_close_rails", "expected at most the %s between uprights where rails are far apart, found %s", l.GapFarRails, l.GapCloseRails)
}
