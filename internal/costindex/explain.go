package costindex

import (
	"github.com/govalues/decimal"

	"wattle/internal/civil"
	"wattle/internal/measure"
	"wattle/internal/money"
)

// ItemCost is one line of a basket at the prices of a day. It costs Quantity
// times Price, exactly.
type ItemCost struct {
	// Item is its name in the price book, Description what people call it.
	Item, Description string
	// Component is the part of the fence it belongs to: posts, rails, boards.
	Component string
	// Unit is what Price is for: each, bag, roll.
	Unit            string
	Quantity, Price decimal.Decimal
	// Since is the day from which the price holds, Revision the one it was
	// learned in.
	Since    civil.Date
	Revision int64
}

// PerFootDecimals is the number of decimals of money per foot.
const PerFootDecimals = 4

// Amount is money for the whole basket, exactly, and per foot of it, to
// PerFootDecimals. In a column of amounts per foot that adds up to a total, what
// rounding leaves over goes to the largest remainders.
type Amount struct{ Basket, PerFoot decimal.Decimal }

// Side says on which of two dates an item is in the basket.
type Side int

const (
	// Both: it is there on both, and cost something else.
	Both Side = iota
	// Added: it is there on the later one only.
	Added
	// Removed: it is there on the earlier one only.
	Removed
)

func (s Side) String() string { return [...]string{"both", "added", "removed"}[s] }

// PartChange is one component's cost on both dates. The parts' columns add up to
// those of the change, and in each row To less From is Difference.
type PartChange struct {
	Component            string
	From, To, Difference Amount
}

// Mover is an item whose cost moved.
type Mover struct {
	Side Side
	// From and To are the item as it was given; the one that is not there is the
	// zero ItemCost.
	From, To   ItemCost
	Difference Amount
	// ByPrice is what the price did at the old quantity, ByQuantity what the
	// quantity did at the new price; they add up to Difference. Of an item on one
	// side only, all is by quantity.
	ByPrice, ByQuantity Amount
	// PricePercent is the change of the price in percent, to one decimal, half
	// up; 0 unless Side is Both and the old price was above 0.
	PricePercent decimal.Decimal
	// Share is the part of the whole difference, in percent, to one decimal, half
	// up: below 0 where the item moved against it. 0 where the whole difference
	// is.
	Share decimal.Decimal
}

// Rest is all items that moved and are not among the movers, as one.
type Rest struct {
	Items      int
	Difference Amount
}

// Change is what moved the cost of a basket between two dates.
type Change struct {
	Currency             money.Currency
	Length               measure.Length
	From, To, Difference Amount
	// Percent is Difference in percent of From, to one decimal, half up; 0 where
	// From is.
	Percent decimal.Decimal
	// Parts are the components, sorted by name.
	Parts []PartChange
	// Movers are at most MostMovers, the largest difference of the basket first
	// (whichever its sign), ties by the item's name. With Rest they add up to
	// Difference.
	Movers []Mover
	Rest   Rest
}

// MostMovers is how many movers are told one by one.
const MostMovers = 10
