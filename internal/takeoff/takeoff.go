// Package takeoff counts the material of a layout: every line with its net,
// waste and order quantity and the derivation a person can check.
package takeoff

import (
	"github.com/govalues/decimal"

	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/measure"
)

// Takeoff is the counted material and labour of one layout.
type Takeoff struct {
	Lines []Line // in the fixed order of Category, then item
	// Cuts is the cut plan of each family of sticks, for the crew.
	Cuts []CutPlan
	// NetLength is the sum of the stretches on centre; GateLength that of the
	// gate spans, from post centre to post centre.
	NetLength, GateLength measure.Length
	Cautions              []layout.Caution
}

// CutPlan is the cut plan for one use of sticks ("rails 2x4").
type CutPlan struct {
	Use  string
	Plan *cutting.Plan
	// Stocks are the candidates, in the order the plan's indices refer to.
	Stocks []cutting.Stock
}

// Category groups lines; waste and tax are per category or kind.
type Category string

// Categories in their fixed order.
const (
	Posts     Category = "posts"
	Rails     Category = "rails"
	Boards    Category = "boards"
	Concrete  Category = "concrete"
	Gravel    Category = "gravel"
	Fasteners Category = "fasteners"
	Caps      Category = "caps"
	GateParts Category = "gates"
	Labour    Category = "labour"
)

// Unit is a unit of sale or work.
type Unit string

const (
	Each      Unit = "each"
	Pound     Unit = "lb"
	Bag       Unit = "bag"
	CubicFoot Unit = "ft3"
	Hour      Unit = "hour"
)

// Line is one item of the take-off. Net, Order and Pack are exact decimals in
// Unit.
type Line struct {
	// Item is the price-book item; Default the name the take-off gave it
	// before spec.Items renamed it.
	Item, Default string
	Description   string
	Category      Category
	Unit          Unit
	Net           decimal.Decimal
	WastePercent  decimal.Decimal
	// Pack is the least number of units sold; Order is a whole number of
	// packs. Order = ceil to Pack of ceil(Net x (1 + waste)).
	Pack, Order decimal.Decimal
	Derivation  Derivation
}

// Derivation is how a figure was reached: data first, the sentence from it.
type Derivation struct {
	Steps []Step
}

// Step is one application of one rule.
type Step struct {
	// Rule is a stable id: "boards.face", "concrete.hole".
	Rule string
	// Source is an id of the published figure the rule comes from, or "common
	// practice".
	Source string
	// Subject is what the step is about, where one line has several: "run
	// yard, 0 ft to 24 ft".
	Subject string
	Inputs  []Input
	// Unrounded and Result are exact figures as text with their unit;
	// Rounding says in words how the one became the other ("" where equal).
	Unrounded, Rounding, Result string
}

// Input is a named figure that went into a step.
type Input struct {
	Name, Value, Unit string
}

// Offer is what the market asks for an item: its price per unit at the lowest
// quantity and its pack. An absent item has no price and a pack of one.
type Offer struct {
	Price decimal.Decimal
	Unit  Unit
	Pack  decimal.Decimal
}
