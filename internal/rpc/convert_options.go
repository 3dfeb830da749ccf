//nolint:protogetter // an optional field is read as the pointer it is: nil says absent, which its getter would hide
package rpc

import (
	"slices"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

var hangs = pairsOf(map[wattlev1.Spec_Layout_Hang]spec.Hang{
	wattlev1.Spec_Layout_HANG_LAPPED:  spec.Lapped,
	wattlev1.Spec_Layout_HANG_BETWEEN: spec.Between,
	wattlev1.Spec_Layout_HANG_FREE:    spec.Free,
})

var patterns = pairsOf(map[wattlev1.Spec_Boards_Pattern]spec.Pattern{
	wattlev1.Spec_Boards_PATTERN_SIDE_BY_SIDE:   spec.SideBySide,
	wattlev1.Spec_Boards_PATTERN_SPACED:         spec.Spaced,
	wattlev1.Spec_Boards_PATTERN_BOARD_ON_BOARD: spec.BoardOnBoard,
	wattlev1.Spec_Boards_PATTERN_SHADOW_BOX:     spec.ShadowBox,
})

var coatings = pairsOf(map[wattlev1.Spec_Fasteners_Coating]spec.Coating{
	wattlev1.Spec_Fasteners_COATING_HOT_DIP_GALVANIZED: spec.HotDip,
	wattlev1.Spec_Fasteners_COATING_STAINLESS:          spec.Stainless,
	wattlev1.Spec_Fasteners_COATING_BRIGHT:             spec.Bright,
})

var frames = pairsOf(map[wattlev1.Spec_Gates_Frame]spec.Frame{
	wattlev1.Spec_Gates_FRAME_WOOD:  spec.WoodFrame,
	wattlev1.Spec_Gates_FRAME_STEEL: spec.SteelFrame,
	wattlev1.Spec_Gates_FRAME_MESH:  spec.MeshFrame,
})

var countedBy = pairsOf(map[wattlev1.Spec_Labour_By]spec.LabourBy{
	wattlev1.Spec_Labour_BY_FENCE: spec.ByFence,
	wattlev1.Spec_Labour_BY_TASKS: spec.ByTasks,
})

func labourFromProto(v *fault.List, p *wattlev1.Spec_Labour) spec.Labour {
	if p == nil {
		return spec.Labour{}
	}
	return spec.Labour{
		Exclude:     p.GetExclude(),
		By:          countedBy.domain[p.GetBy()],
		Crew:        int(p.GetCrew()),
		HoursPerDay: readDecimal(v, "hours_per_day", p.GetHoursPerDay()),
		Equipment:   slices.Clone(p.GetEquipment()),
	}
}

func labourToProto(s spec.Labour) *wattlev1.Spec_Labour {
	return &wattlev1.Spec_Labour{
		Exclude:     s.Exclude,
		By:          countedBy.wire[s.By],
		Crew:        int32(s.Crew),
		HoursPerDay: plainUnlessZero(s.HoursPerDay),
		Equipment:   slices.Clone(s.Equipment),
	}
}

func extrasFromProto(v *fault.List, p *wattlev1.Spec_Extras) spec.Extras {
	if p == nil {
		return spec.Extras{}
	}
	stain := p.GetStain()
	return spec.Extras{
		CapBoard:      timber.Size(p.GetCapBoard()),
		Trim:          timber.Size(p.GetTrim()),
		TrimSides:     int(p.GetTrimSides()),
		KickBoard:     timber.Size(p.GetKickBoard()),
		Lattice:       readLength(v, "lattice", p.GetLattice()),
		LatticeLength: readSize(v, "lattice_length", p.GetLatticeLength()),
		Stock:         readLengths(v, "stock", p.GetStock()),
		Stain: spec.Stain{
			Coats:    int(stain.GetCoats()),
			Coverage: readDecimal(v.At("stain"), "coverage", stain.GetCoverage()),
			Sides:    int(stain.GetSides()),
			Edges:    stain.GetEdges(),
		},
	}
}

// extrasToProto is nil where there are none.
func extrasToProto(t *texts, s spec.Extras) *wattlev1.Spec_Extras {
	p := &wattlev1.Spec_Extras{
		CapBoard:      string(s.CapBoard),
		Trim:          string(s.Trim),
		TrimSides:     int32(s.TrimSides),
		KickBoard:     string(s.KickBoard),
		Lattice:       t.size(s.Lattice),
		LatticeLength: t.size(s.LatticeLength),
		Stock:         t.list(s.Stock),
		Stain: orNil(&wattlev1.Spec_Stain{
			Coats:    int32(s.Stain.Coats),
			Coverage: plainUnlessZero(s.Stain.Coverage),
			Sides:    int32(s.Stain.Sides),
			Edges:    s.Stain.Edges,
		}),
	}
	return orNil(p)
}

func moistureFromProto(v *fault.List, p *wattlev1.Spec_Moisture) spec.Moisture {
	if p == nil {
		return spec.Moisture{}
	}
	return spec.Moisture{
		Species:     p.GetSpecies(),
		Installed:   p.GetInstalled(),
		Service:     p.GetService(),
		Temperature: readOptional(v, "temperature", p.Temperature, readDecimal),
		Humidity:    readOptional(v, "humidity", p.Humidity, readDecimal),
		ApplyGap:    p.GetApplyGap(),
	}
}

// moistureToProto is nil where nothing is computed.
func moistureToProto(t *texts, s spec.Moisture) *wattlev1.Spec_Moisture {
	return orNil(&wattlev1.Spec_Moisture{
		Species:     s.Species,
		Installed:   s.Installed,
		Service:     s.Service,
		Temperature: t.plainOptional(s.Temperature),
		Humidity:    t.plainOptional(s.Humidity),
		ApplyGap:    s.ApplyGap,
	})
}
