package takeoff

import (
	"wattle/internal/measure"
	"wattle/internal/rational"
	"wattle/internal/section"
	"wattle/internal/steel"
)

// What follows is from memory, and rough: makers give their own figures.

// teePounds is what a foot of a T post weighs.
var teePounds = rational.Of(133, 100)

// Vinyl posts are hollow, of a wall that their width does not tell.
const (
	vinylWall    = measure.Inch * 15 / 100
	vinylDensity = 90 // lb/ft3
)

// postPounds is what a foot of a post weighs whose item's name does not say it;
// 0 for the others.
func postPounds(size section.Section) rational.Number {
	wide := size.Width()
	switch size.Kind() {
	case section.TPost:
		return teePounds
	case section.Tube:
		return steel.SquarePoundsPerFoot(wide, steel.TubeWallFor(wide))
	case section.Vinyl:
		hollow := max(wide-2*vinylWall, 0)
		return measure.BoxFt3(wide, wide, measure.Foot).Sub(measure.BoxFt3(hollow, hollow, measure.Foot)).Mul(whole(vinylDensity))
	default:
	}
	return rational.Number{}
}

// weighPost tells what posts of an item weigh.
func (g *gathered) weighPost(it item, size section.Section, long measure.Length) {
	if each := postPounds(size); each.Sign() > 0 {
		g.weighsEach(it, each.Mul(quotient(long, measure.Foot)))
	}
}

// panelPounds are what a square foot of a panel weighs, by its material.
var panelPounds = map[string]rational.Number{
	"ornamental-metal": rational.Of(3, 2), vinylPanels: rational.Of(8, 5), woodPanels: rational.Of(7, 4),
}

// A split rail is about as thick as a round one of 4 in.
const splitRailSection section.Section = "4rd"

// splitRailDensities are in lb/ft3, dry.
var splitRailDensities = map[string]int{"cedar": 23, "locust": 48, "oak": 45, "pine": 28, "spruce": 28}

func splitRailPounds(wood string, long measure.Length) rational.Number {
	return splitRailSection.DisplacesFt3(long).Mul(whole(splitRailDensities[wood]))
}

// wirePounds is what wire of a gauge weighs; 0 for one thicker than any of
// wireGauges.
func wirePounds(gauge rational.Number, long measure.Length) rational.Number {
	wire := wireDiameter(gauge)
	if wire == 0 {
		return rational.Number{}
	}
	return steel.PoundsPerFoot(wire, wire/2).Mul(quotient(long, measure.Foot))
}

var (
	barbedRoll       = struct{ pounds, feet int64 }{80, 1320} // two strands of 12-1/2 gauge
	highTensileGauge = rational.Of(25, 2)
	braceWireGauge   = whole(9)
)

func barbedPounds(long measure.Length) rational.Number {
	return rational.Of(barbedRoll.pounds, barbedRoll.feet).Mul(quotient(long, measure.Foot))
}

// wovenRolls are what rolls of 330 ft weigh, by height.
var wovenRolls = map[measure.Length]int64{
	26 * measure.Inch: 140, 32 * measure.Inch: 165, 39 * measure.Inch: 190, 47 * measure.Inch: 220,
}

func wovenPounds(high, long measure.Length) rational.Number {
	roll := wovenRolls[high]
	if roll == 0 {
		return rational.Number{}
	}
	return rational.Of(roll, 330).Mul(quotient(long, measure.Foot))
}
