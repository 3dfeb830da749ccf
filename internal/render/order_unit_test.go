package render

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/takeoff"
)

// What is sold by another unit than it is counted in says so where it is ordered.
func TestOrderUnitIsTold(t *testing.T) {
	l := takeoff.Line{Item: "gravel", Description: "Gravel", Category: takeoff.Gravel, Unit: takeoff.CubicFoot, OrderUnit: "yd3",
		Net: decimal.MustParse("11.2"), Pack: decimal.MustParse("0.5"), Order: decimal.MustParse("0.5")}
	k := &takeoff.Takeoff{Lines: []takeoff.Line{l}}
	var text, csv, why strings.Builder
	if err := TakeoffText(&text, k); err != nil || !strings.Contains(text.String(), "11.2  ft3         0  0.5 yd3  0.5 yd3") {
		t.Errorf("%v\n%s", err, &text)
	}
	if err := TakeoffCSV(&csv, k); err != nil || !strings.Contains(csv.String(), "gravel,Gravel,gravel,ft3,11.2,0,0.5,0.5,yd3,") {
		t.Errorf("%v\n%s", err, &csv)
	}
	if err := WhyText(&why, l); err != nil || !strings.Contains(why.String(), "Gravel (gravel): 0.5 yd3") {
		t.Errorf("%v\n%s", err, &why)
	}
}
