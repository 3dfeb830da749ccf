package takeoff

import (
	"cmp"
	"slices"

	"github.com/govalues/decimal"

	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/measure"
)

// Takeoff is the counted material and labour of one layout.
type Takeoff struct {
	Lines []Line // in the fixed order of Category, then item
	// Faces says how each stretch is boarded, in the layout's order, a stepped
	// one bay by bay; Leaves how the leaves of each opening are built.
	Faces  []Face
	Leaves []Leaf
	// Cuts is the cut plan of each family of sticks, for the crew.
	Cuts []CutPlan
	// NetLength is the sum of the stretches on centre; GateLength that of the
	// gate spans, from post centre to post centre.
	NetLength, GateLength measure.Length
	// Movement is nil where the spec names no species, Work where labour is not
	// counted by tasks.
	Movement *Movement
	Work     *Work
	Delivery Delivery
	Cautions []layout.Caution
}

// CutPlan is the cut plan for one use of sticks: "rails 2x4", and "kick boards
// 2x6" where there are any.
type CutPlan struct {
	Use  string
	Plan *cutting.Plan
	// Stocks are the candidates, in the order the plan's indices refer to.
	Stocks []cutting.Stock
	// Joints are where rails over two bays meet, by stretch and course; none
	// where every rail spans one bay and so all meet at every post.
	Joints []Joint
}

// Joint is where the rails of one course of a stretch meet.
type Joint struct {
	Stretch int   // index into layout.Layout.Stretches
	Course  int   // 0 is the lowest
	Posts   []int // indices into layout.Layout.Posts, in walking order
}

// Category groups lines; waste and tax are per category or kind.
type Category string

// Categories in their fixed order.
const (
	Posts     Category = "posts"
	Rails     Category = "rails"
	Boards    Category = "boards"
	Panels    Category = "panels"
	Fabric    Category = "fabric"
	Wires     Category = "wire"
	Concrete  Category = "concrete"
	Gravel    Category = "gravel"
	Fasteners Category = "fasteners"
	Hardware  Category = "hardware" // what holds fabric, rails and wire to posts
	Caps      Category = "caps"
	Options   Category = "options"
	Stain     Category = "stain"
	GateParts Category = "gates"
	Removal   Category = "removal"
	Labour    Category = "labour"
	Equipment Category = "equipment"
)

// Categories lists every category in the order of the lines.
func Categories() []Category {
	return []Category{Posts, Rails, Boards, Panels, Fabric, Wires, Concrete, Gravel, Fasteners, Hardware, Caps,
		Options, Stain, GateParts, Removal, Labour, Equipment}
}

var categories = Categories()

// rank is a category's place among them.
func (c Category) rank() int { return slices.Index(categories, c) }

// Unit is a unit of sale or work.
type Unit string

const (
	Each      Unit = "each"
	Pound     Unit = "lb"
	Bag       Unit = "bag"
	CubicFoot Unit = "ft3"
	Hour      Unit = "hour"
	Foot      Unit = "ft"
	Roll      Unit = "roll"
	Gallon    Unit = "gal"
	Day       Unit = "day"
	// The units of production rates.
	HourPerFoot Unit = "hour/ft"
	HourPerLeaf Unit = "hour/leaf"
	HourPerEach Unit = "hour/each"
	HourPerFt2  Unit = "hour/ft2"
	HourPerFt3  Unit = "hour/ft3"
	HourPerJob  Unit = "hour/job"
	// Ratio is the unit of factors.
	Ratio Unit = "ratio"
)

// Line is one item of the take-off. Net, Order and Pack are exact decimals in
// Unit, with one exception: where bags are a volume over a yield and the
// division does not end, Net shows four decimals (half up) and Order is still
// reached from the exact fraction.
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
	// packs. Order = ceil to Pack of ceil(Net x (1 + waste)). Hours are not
	// sold in packs: their Order is Net, in hundredths.
	Pack, Order decimal.Decimal
	// OrderUnit is the unit of Pack and Order where the item is sold by another
	// one than Unit: what is needed is converted after it was rounded up to
	// whole Units. Empty: Unit.
	OrderUnit  Unit
	Derivation Derivation
}

// OrderedIn is the unit of Pack and Order.
func (l Line) OrderedIn() Unit { return cmp.Or(l.OrderUnit, l.Unit) }
