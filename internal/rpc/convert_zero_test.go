package rpc

import (
	"strings"
	"testing"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
)

// A zero that was written is no default that was left out.
func TestAWrittenZeroIsNoDefault(t *testing.T) {
	v := &fault.List{}
	SpecFromProto(v, &wattlev1.Spec{
		Layout: &wattlev1.Spec_Layout{MaxBay: "0 ft", RailStock: "0 in"},
		Holes:  &wattlev1.Spec_Holes{Diameter: "0 mm"},
		Boards: &wattlev1.Spec_Boards{Width: "0 in", Thickness: "0 in", Stock: "0 ft", Gap: "0 in"},
	})
	err := v.Err()
	for _, field := range []string{"layout.max_bay", "layout.rail_stock", "holes.diameter", "boards.width", "boards.thickness", "boards.stock"} {
		if err == nil || !strings.Contains(err.Error(), "\n  "+field+": ") {
			t.Errorf("%s is not listed in: %v", field, err)
		}
	}
	if strings.Contains(err.Error(), "gap") {
		t.Errorf("boards may be butted: %v", err)
	}
}
