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
		Holes:  &wattlev1.Spec_Holes{Diameter: "0 mm", TerminalDiameter: "0 ft"},
		Extras: &wattlev1.Spec_Extras{LatticeLength: "0 ft", Lattice: "0 in"},
		Boards: &wattlev1.Spec_Boards{Width: "0 in", Thickness: "0 in", Stock: "0 ft", Gap: "0 in"},
	})
	err := v.Err()
	for _, field := range []string{"layout.max_bay", "layout.rail_stock", "holes.diameter", "holes.terminal_diameter", "extras.lattice_length", "boards.width", "boards.thickness", "boards.stock"} {
		if err == nil || !strings.Contains(err.Error(), "\n  "+field+": ") {
			t.Errorf("%s is not listed in: %v", field, err)
		}
	}
	if strings.Contains(err.Error(), "gap") {
		t.Errorf("boards may be butted: %v", err)
	}
}

// Rules of the proto and texts that cannot be read are in one answer.
func TestShapeIsOneAnswer(t *testing.T) {
	v, err := newValidation()
	if err != nil {
		t.Fatal(err)
	}
	err = v.check(&wattlev1.PlanLayoutRequest{
		Site: &wattlev1.Site{Runs: []*wattlev1.Run{{
			Id:       "back",
			Vertices: []*wattlev1.Vertex{{East: "0 ft", North: "0 ft"}, {East: "24", North: "0 ft"}},
			Gates:    []*wattlev1.Gate{{Id: "g", Station: "3 ft", Width: "4 ft", Leaves: 9}},
		}}},
		Spec: &wattlev1.Spec{Height: "six"},
	})
	for _, field := range []string{"site.runs[0].gates[0].leaves", "site.runs[0].vertices[1].east", "spec.height"} {
		if err == nil || !strings.Contains(err.Error(), "\n  "+field+": ") {
			t.Errorf("%s is not listed in: %v", field, err)
		}
	}
	if err := v.check(&wattlev1.CreateQuoteRequest{}); fault.KindOf(err) != fault.Invalid {
		t.Errorf("an empty request: %v", err)
	}
}
