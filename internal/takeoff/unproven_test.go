package takeoff

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/cutting"
	"wattle/internal/measure"
)

// A plan that is not proven says so, with the bound: in money, or without
// prices as a length.
func TestUnprovenPlanSaysSo(t *testing.T) {
	for _, c := range []struct {
		price, cost, bound string
		want, told         string
	}{
		{"5.10", "51.00", "45.90", "The cut plan of rails 2x4 is the best one found, at 51; it is only proven that none takes less than 45.9.",
			"from sticks of 8 ft, for the least cost (the best plan found takes 51, and none less than 45.9): 10 sticks of 8 ft."},
		{"0", "24384000000", "21945600000", "The cut plan of rails 2x4 is the best one found, at 80 ft; it is only proven that none takes less than 72 ft.",
			"from sticks of 8 ft, for the least length (the best plan found takes 80 ft, and none less than 72 ft): 10 sticks of 8 ft."},
	} {
		plan := CutPlan{Use: "rails 2x4", Stocks: []cutting.Stock{{Length: 8 * measure.Foot, Price: decimal.MustParse(c.price)}},
			Plan: &cutting.Plan{Sticks: []int{10}, Cost: decimal.MustParse(c.cost), LowerBound: decimal.MustParse(c.bound)}}
		all := cautions(new(sixFoot()), &Takeoff{Cuts: []CutPlan{plan}})
		if last := all[len(all)-1]; last.Code != "cut-plan-not-proven" || last.Text != c.want {
			t.Errorf("%s\nwant %s", last.Text, c.want)
		}
		if got := (choice{CutPlan: plan}).step(0, 40, measure.Inch/8, "stick").Sentence(); !strings.Contains(got, c.told) {
			t.Errorf("%s\nwant %s", got, c.told)
		}
	}
}
