//nolint:protogetter // an optional field is read as the pointer it is: nil says absent, which its getter would hide
package rpc

import (
	"maps"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
	"wattle/internal/section"
	"wattle/internal/spec"
)

var methods = pairsOf(map[wattlev1.Spec_Layout_Method]spec.Method{
	wattlev1.Spec_Layout_METHOD_EVEN:      spec.Even,
	wattlev1.Spec_Layout_METHOD_REMAINDER: spec.Remainder,
	wattlev1.Spec_Layout_METHOD_FEATHERED: spec.Feathered,
})

var ends = pairsOf(map[wattlev1.Spec_Layout_End]spec.End{
	wattlev1.Spec_Layout_END_FINISH: spec.Finish,
	wattlev1.Spec_Layout_END_START:  spec.Start,
	wattlev1.Spec_Layout_END_BOTH:   spec.Both,
})

var settings = pairsOf(map[wattlev1.Spec_Concrete_Setting]spec.Setting{
	wattlev1.Spec_Concrete_SETTING_WET_SET: spec.WetSet,
	wattlev1.Spec_Concrete_SETTING_DRY_SET: spec.DrySet,
	wattlev1.Spec_Concrete_SETTING_NONE:    spec.NoSet,
	wattlev1.Spec_Concrete_SETTING_DRIVEN:  spec.Driven,
})

// SpecFromProto reads a spec without filling its defaults; v takes what cannot
// be read, by paths below its own.
func SpecFromProto(v *fault.List, p *wattlev1.Spec) spec.Spec {
	if p == nil {
		return spec.Spec{}
	}
	return spec.Spec{
		Name:            p.GetName(),
		Family:          spec.Family(p.GetFamily()),
		Height:          readLength(v, "height", p.GetHeight()),
		GroundClearance: readOptional(v, "ground_clearance", p.GroundClearance, readLength),
		CornerAngle:     readAngleSize(v, "corner_angle", p.GetCornerAngle()),
		Access:          readOptional(v, "access", p.Access, readLength),
		Alignment:       alignmentFromProto(v.At("alignment"), p.GetAlignment()),
		Slope:           slopeFromProto(v.At("slope"), p.GetSlope()),
		Curves:          curvesFromProto(v.At("curves"), p.GetCurves()),
		Layout:          layoutRuleFromProto(v.At("layout"), p.GetLayout()),
		Posts:           postsFromProto(v.At("posts"), p.GetPosts()),
		Holes:           holesFromProto(v.At("holes"), p.GetHoles()),
		Concrete:        concreteFromProto(v.At("concrete"), p.GetConcrete()),
		Rails:           railsFromProto(v.At("rails"), p.GetRails()),
		Boards:          boardsFromProto(v.At("boards"), p.GetBoards()),
		Fasteners:       fastenersFromProto(p.GetFasteners()),
		Gates:           gatesFromProto(v.At("gates"), p.GetGates()),
		Labour:          labourFromProto(v.At("labour"), p.GetLabour()),
		Waste:           wasteFromProto(v.At("waste"), p.GetWaste()),
		Extras:          extrasFromProto(v.At("extras"), p.GetExtras()),
		Moisture:        moistureFromProto(v.At("moisture"), p.GetMoisture()),
		Details:         maps.Clone(p.GetDetails()),
		Kerf:            readOptional(v, "kerf", p.Kerf, readLength),
		Items:           maps.Clone(p.GetItems()),
	}
}

// SpecToProto is the reverse of SpecFromProto.
func SpecToProto(s spec.Spec) *wattlev1.Spec {
	return &wattlev1.Spec{
		Name:            s.Name,
		Family:          string(s.Family),
		Height:          s.Height.String(),
		GroundClearance: textOf(s.GroundClearance),
		CornerAngle:     sizeText(s.CornerAngle),
		Access:          textOf(s.Access),
		Alignment:       alignmentToProto(s.Alignment),
		Slope:           slopeToProto(s.Slope),
		Curves:          curvesToProto(s.Curves),
		Layout:          layoutRuleToProto(s.Layout),
		Posts:           postsToProto(s.Posts),
		Holes:           holesToProto(s.Holes),
		Concrete:        concreteToProto(s.Concrete),
		Rails:           railsToProto(s.Rails),
		Boards:          boardsToProto(s.Boards),
		Fasteners:       fastenersToProto(s.Fasteners),
		Gates:           gatesToProto(s.Gates),
		Labour:          labourToProto(s.Labour),
		Waste:           wasteToProto(s.Waste),
		Extras:          extrasToProto(s.Extras),
		Moisture:        moistureToProto(s.Moisture),
		Details:         maps.Clone(s.Details),
		Kerf:            textOf(s.Kerf),
		Items:           maps.Clone(s.Items),
	}
}

func layoutRuleFromProto(v *fault.List, p *wattlev1.Spec_Layout) spec.Layout {
	if p == nil {
		return spec.Layout{}
	}
	return spec.Layout{
		Method:        methods.domain[p.GetMethod()],
		MaxBay:        readSize(v, "max_bay", p.GetMaxBay()),
		RailStock:     readSize(v, "rail_stock", p.GetRailStock()),
		TerminalLimit: p.TerminalLimit,
		ShortEnd:      ends.domain[p.GetShortEnd()],
		Feather:       int(p.GetFeather()),
		MinBay:        readOptional(v, "min_bay", p.MinBay, readLength),
		Hang:          hangs.domain[p.GetHang()],
		Insertion:     readLength(v, "insertion", p.GetInsertion()),
		BracketGap:    readLength(v, "bracket_gap", p.GetBracketGap()),
	}
}

func layoutRuleToProto(s spec.Layout) *wattlev1.Spec_Layout {
	return &wattlev1.Spec_Layout{
		Method:        methods.wire[s.Method],
		MaxBay:        sizeText(s.MaxBay),
		RailStock:     sizeText(s.RailStock),
		TerminalLimit: s.TerminalLimit,
		ShortEnd:      ends.wire[s.ShortEnd],
		Feather:       int32(s.Feather),
		MinBay:        textOf(s.MinBay),
		Hang:          hangs.wire[s.Hang],
		Insertion:     s.Insertion.String(),
		BracketGap:    s.BracketGap.String(),
	}
}

func postsFromProto(v *fault.List, p *wattlev1.Spec_Posts) spec.Posts {
	if p == nil {
		return spec.Posts{}
	}
	return spec.Posts{
		Size:         section.Section(p.GetSize()),
		TerminalSize: section.Section(p.GetTerminalSize()),
		GateSize:     section.Section(p.GetGateSize()),
		Stock:        readLengths(v, "stock", p.GetStock()),
		AboveBoards:  readLength(v, "above_boards", p.GetAboveBoards()),
		Caps:         p.Caps,
	}
}

func postsToProto(s spec.Posts) *wattlev1.Spec_Posts {
	return &wattlev1.Spec_Posts{
		Size:         string(s.Size),
		TerminalSize: string(s.TerminalSize),
		GateSize:     string(s.GateSize),
		Stock:        textsOf(s.Stock),
		AboveBoards:  s.AboveBoards.String(),
		Caps:         s.Caps,
	}
}

func holesFromProto(v *fault.List, p *wattlev1.Spec_Holes) spec.Holes {
	if p == nil {
		return spec.Holes{}
	}
	return spec.Holes{
		MinDepth:         readLength(v, "min_depth", p.GetMinDepth()),
		ByHeight:         p.ByHeight,
		FrostDepth:       readLength(v, "frost_depth", p.GetFrostDepth()),
		FrostMargin:      readLength(v, "frost_margin", p.GetFrostMargin()),
		Gravel:           readOptional(v, "gravel", p.Gravel, readLength),
		Float:            readLength(v, "float", p.GetFloat()),
		Diameter:         readSize(v, "diameter", p.GetDiameter()),
		GateExtraDepth:   readOptional(v, "gate_extra_depth", p.GateExtraDepth, readLength),
		Rules:            p.GetRules(),
		TerminalDiameter: readSize(v, "terminal_diameter", p.GetTerminalDiameter()),
		TerminalDepth:    readLength(v, "terminal_depth", p.GetTerminalDepth()),
	}
}

func holesToProto(s spec.Holes) *wattlev1.Spec_Holes {
	return &wattlev1.Spec_Holes{
		MinDepth:         s.MinDepth.String(),
		ByHeight:         s.ByHeight,
		FrostDepth:       s.FrostDepth.String(),
		FrostMargin:      s.FrostMargin.String(),
		Gravel:           textOf(s.Gravel),
		Float:            s.Float.String(),
		Diameter:         sizeText(s.Diameter),
		GateExtraDepth:   textOf(s.GateExtraDepth),
		Rules:            s.Rules,
		TerminalDiameter: sizeText(s.TerminalDiameter),
		TerminalDepth:    s.TerminalDepth.String(),
	}
}

func concreteFromProto(v *fault.List, p *wattlev1.Spec_Concrete) spec.Concrete {
	if p == nil {
		return spec.Concrete{}
	}
	return spec.Concrete{
		Set:            settings.domain[p.GetSet()],
		BagPounds:      int(p.GetBagPounds()),
		YieldPerPound:  readDecimal(v, "yield_per_pound", p.GetYieldPerPound()),
		StopBelowGrade: readLength(v, "stop_below_grade", p.GetStopBelowGrade()),
		Crown:          readLength(v, "crown", p.GetCrown()),
	}
}

func concreteToProto(s spec.Concrete) *wattlev1.Spec_Concrete {
	return &wattlev1.Spec_Concrete{
		Set:            settings.wire[s.Set],
		BagPounds:      int32(s.BagPounds),
		YieldPerPound:  plain(s.YieldPerPound),
		StopBelowGrade: s.StopBelowGrade.String(),
		Crown:          s.Crown.String(),
	}
}
