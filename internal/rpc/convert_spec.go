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
	t := new(texts)
	return &wattlev1.Spec{
		Name:            s.Name,
		Family:          string(s.Family),
		Height:          t.length(s.Height),
		GroundClearance: t.optional(s.GroundClearance),
		CornerAngle:     sizeText(s.CornerAngle),
		Access:          t.optional(s.Access),
		Alignment:       alignmentToProto(t, s.Alignment),
		Slope:           slopeToProto(t, s.Slope),
		Curves:          curvesToProto(t, s.Curves),
		Layout:          layoutRuleToProto(t, s.Layout),
		Posts:           postsToProto(t, s.Posts),
		Holes:           holesToProto(t, s.Holes),
		Concrete:        concreteToProto(t, s.Concrete),
		Rails:           railsToProto(t, s.Rails),
		Boards:          boardsToProto(t, s.Boards),
		Fasteners:       fastenersToProto(s.Fasteners),
		Gates:           gatesToProto(t, s.Gates),
		Labour:          labourToProto(s.Labour),
		Waste:           wasteToProto(t, s.Waste),
		Extras:          extrasToProto(t, s.Extras),
		Moisture:        moistureToProto(t, s.Moisture),
		Details:         maps.Clone(s.Details),
		Kerf:            t.optional(s.Kerf),
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

func layoutRuleToProto(t *texts, s spec.Layout) *wattlev1.Spec_Layout {
	return &wattlev1.Spec_Layout{
		Method:        methods.wire[s.Method],
		MaxBay:        t.size(s.MaxBay),
		RailStock:     t.size(s.RailStock),
		TerminalLimit: s.TerminalLimit,
		ShortEnd:      ends.wire[s.ShortEnd],
		Feather:       int32(s.Feather),
		MinBay:        t.optional(s.MinBay),
		Hang:          hangs.wire[s.Hang],
		Insertion:     t.length(s.Insertion),
		BracketGap:    t.length(s.BracketGap),
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

func postsToProto(t *texts, s spec.Posts) *wattlev1.Spec_Posts {
	return &wattlev1.Spec_Posts{
		Size:         string(s.Size),
		TerminalSize: string(s.TerminalSize),
		GateSize:     string(s.GateSize),
		Stock:        t.list(s.Stock),
		AboveBoards:  t.length(s.AboveBoards),
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

func holesToProto(t *texts, s spec.Holes) *wattlev1.Spec_Holes {
	return &wattlev1.Spec_Holes{
		MinDepth:         t.length(s.MinDepth),
		ByHeight:         s.ByHeight,
		FrostDepth:       t.length(s.FrostDepth),
		FrostMargin:      t.length(s.FrostMargin),
		Gravel:           t.optional(s.Gravel),
		Float:            t.length(s.Float),
		Diameter:         t.size(s.Diameter),
		GateExtraDepth:   t.optional(s.GateExtraDepth),
		Rules:            s.Rules,
		TerminalDiameter: t.size(s.TerminalDiameter),
		TerminalDepth:    t.length(s.TerminalDepth),
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

func concreteToProto(t *texts, s spec.Concrete) *wattlev1.Spec_Concrete {
	return &wattlev1.Spec_Concrete{
		Set:            settings.wire[s.Set],
		BagPounds:      int32(s.BagPounds),
		YieldPerPound:  plain(s.YieldPerPound),
		StopBelowGrade: t.length(s.StopBelowGrade),
		Crown:          t.length(s.Crown),
	}
}
