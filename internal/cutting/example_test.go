package cutting_test

import (
	"fmt"

	"github.com/govalues/decimal"

	"wattle/internal/cutting"
	"wattle/internal/measure"
)

// Three rails and two stiles. The third stick, with a kerf of 1/8 in at each
// cut; the off-cut is 3 ft 2-3/4 in:
//
//	|<------------------- 16 ft -------------------->|
//	|=======================/===============/--------|
//	|      7 ft 9 in        |     5 ft      | off-cut|
func ExampleSolve() {
	plan, err := cutting.Solve(cutting.Request{
		Pieces: []cutting.Piece{
			{Length: measure.Must("7 ft 9 in"), Count: 3},
			{Length: measure.Must("5 ft"), Count: 2},
		},
		Stocks: []cutting.Stock{
			{Item: "rail-8", Length: measure.Must("8 ft"), Price: decimal.MustParse("5.98")},
			{Item: "rail-16", Length: measure.Must("16 ft"), Price: decimal.MustParse("11.40")},
		},
		Kerf: measure.Must("1/8 in"),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range plan.Patterns {
		fmt.Println(c.Times, "of stock", c.Stock, "cut to", c.Cuts)
	}
	fmt.Println("sticks", plan.Sticks, "cost", plan.Cost, "at least", plan.LowerBound, "proven", plan.Proven, "waste", plan.Waste)
	// Output:
	// 1 of stock 0 cut to [5 ft]
	// 1 of stock 1 cut to [7 ft 9 in 7 ft 9 in]
	// 1 of stock 1 cut to [7 ft 9 in 5 ft]
	// sticks [1 2] cost 28.78 at least 28.78 proven true waste 6 ft 9 in
}
