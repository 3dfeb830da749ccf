package takeoff

import (
	"fmt"
	"testing"

	"wattle/internal/cutting"
	"wattle/internal/measure"
)

// Pieces narrower than the least off-cut count as that in the plan, and are cut
// to their own widths: 10, 8, 8 and 6 in from panels of 60 in, of which no
// off-cut under 20 in is used again.
func TestNarrowPieces(t *testing.T) {
	in := measure.Inch
	var pieces tally[measure.Length]
	pieces.add(8*in, 0, 2)
	pieces.add(10*in, 1, 1)
	pieces.add(30*in, 2, 1)
	pieces.add(6*in, 3, 1)
	plan := &cutting.Plan{Bought: 120 * in, Used: 110 * in, Waste: 10 * in, Sticks: []int{2},
		Patterns: []cutting.Pattern{{Cuts: []measure.Length{30 * in, 20 * in}, Times: 1}, {Cuts: []measure.Length{20 * in, 20 * in, 20 * in}, Times: 1}}}
	narrow(plan, pieces, 20*in)
	want := "[{0 [2 ft 6 in 10 in] 1} {0 [8 in 8 in 6 in] 1}] used 62 in waste 58 in"
	if got := fmt.Sprintf("%v used %s waste %s", plan.Patterns, plan.Used.Inches(0), plan.Waste.Inches(0)); got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	// Equal sticks that are cut alike stay one pattern.
	var same tally[measure.Length]
	same.add(5*in, 0, 4)
	plan = &cutting.Plan{Bought: 100 * in, Patterns: []cutting.Pattern{{Cuts: []measure.Length{20 * in, 20 * in}, Times: 2}}}
	narrow(plan, same, 20*in)
	if got := fmt.Sprint(plan.Patterns); got != "[{0 [5 in 5 in] 2}]" {
		t.Error(got)
	}
}
