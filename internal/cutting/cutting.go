// Package cutting chooses the sticks to buy and how to cut them: from the
// pieces a job needs, the stock lengths on offer with their prices, and the
// saw kerf, it finds the cheapest cut plan, together with a lower bound that
// no plan can beat.
//
// Kerf rule. Every cut turns one kerf into sawdust. k pieces of total length T
// come out of a stick of length S exactly when
//
//	T + (k-1) x kerf <= S
//
// because k-1 cuts part the pieces from each other; the off-cut behind the last
// piece, if there is one, is parted by one more cut, and where less than a kerf
// is left there the blade takes all of it. So an exact fit is a fit: two pieces
// of 47-15/16 in and one kerf of 1/8 in use up 96 in.
//
// A plan is the same on every machine and for any order of the pieces: the
// search has a node budget, never a clock, and floating point only steers it
// (see lp). Of the plans that it meets, the search keeps the cheapest; among
// those the one with the fewest sticks; then the least length bought; then the
// one it met first. Only the cost is proven.
package cutting

import (
	"github.com/govalues/decimal"

	"wattle/internal/measure"
)

// Piece is a demand for Count equal pieces. Pieces of the same length may be
// given more than once; they are added up.
type Piece struct {
	Length measure.Length
	Count  int
}

// Stock is a stick that can be bought in any number.
type Stock struct {
	Item   string // the caller's name for it, used in errors only
	Length measure.Length
	// Price of one stick, zero or more. When no stock of a request has a
	// price, the plan buys the least total length instead; when only some
	// have, a zero price means that the stick is free.
	Price decimal.Decimal
}

// Request is one cutting job.
type Request struct {
	Pieces []Piece
	Stocks []Stock
	// Kerf is the width of the saw cut, zero or more.
	Kerf measure.Length
	// NodeBudget limits the search, in nodes of its tree; zero is
	// DefaultNodeBudget.
	NodeBudget int
}

// Pattern says how Times sticks of Stocks[Stock] are cut.
type Pattern struct {
	Stock int
	Cuts  []measure.Length // descending
	Times int
}

// Plan is the answer to a Request. Patterns are sorted by stock, then by their
// cuts, longest first. A request without pieces has an empty plan, proven.
type Plan struct {
	Patterns []Pattern
	Sticks   []int // to buy, for each of the request's Stocks
	// Cost of all sticks, and a figure that the cost of no plan can be below:
	// in the currency of the prices, or in nanometres of stock where no stock
	// has a price.
	Cost, LowerBound decimal.Decimal
	// Proven: no cheaper plan exists; Cost equals LowerBound.
	Proven bool
	// Nodes of the search tree that were visited.
	Nodes int
	// Bought is the length of all sticks, Used that of all pieces; Waste is
	// the difference: off-cuts and saw kerfs.
	Bought, Used, Waste measure.Length
}
