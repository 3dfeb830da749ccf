//nolint:protogetter // an optional field is read as the pointer it is: nil says absent, which its getter would hide
package rpc

import (
	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/fault"
	"wattle/internal/section"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

var startSides = pairsOf(map[wattlev1.Spec_Boards_StartSide]spec.StartSide{
	wattlev1.Spec_Boards_START_SIDE_VISIBLE:      spec.StartVisible,
	wattlev1.Spec_Boards_START_SIDE_LOW_STATION:  spec.StartLow,
	wattlev1.Spec_Boards_START_SIDE_HIGH_STATION: spec.StartHigh,
})

func railsFromProto(v *fault.List, p *wattlev1.Spec_Rails) spec.Rails {
	if p == nil {
		return spec.Rails{}
	}
	return spec.Rails{
		Size:         timber.Size(p.GetSize()),
		Count:        int(p.GetCount()),
		TopReveal:    readOptional(v, "top_reveal", p.TopReveal, readLength),
		BottomReveal: readOptional(v, "bottom_reveal", p.BottomReveal, readLength),
		Stock:        readLengths(v, "stock", p.GetStock()),
		MaxSpan:      int(p.GetMaxSpan()),
	}
}

// railsToProto is nil for a family that hangs none, so that its spec can be sent
// again as it was answered; so is boardsToProto.
func railsToProto(t *texts, s spec.Rails) *wattlev1.Spec_Rails {
	if s.Size == "" && s.Count == 0 && s.TopReveal == nil && s.BottomReveal == nil && len(s.Stock) == 0 && s.MaxSpan == 0 {
		return nil
	}
	return &wattlev1.Spec_Rails{
		Size:         string(s.Size),
		Count:        int32(s.Count),
		TopReveal:    t.optional(s.TopReveal),
		BottomReveal: t.optional(s.BottomReveal),
		Stock:        t.list(s.Stock),
		MaxSpan:      int32(s.MaxSpan),
	}
}

func boardsFromProto(v *fault.List, p *wattlev1.Spec_Boards) spec.Boards {
	if p == nil {
		return spec.Boards{}
	}
	return spec.Boards{
		Size:      timber.Size(p.GetSize()),
		Width:     readSize(v, "width", p.GetWidth()),
		Thickness: readSize(v, "thickness", p.GetThickness()),
		Gap:       readLength(v, "gap", p.GetGap()),
		MinRip:    readOptional(v, "min_rip", p.MinRip, readLength),
		MaxGap:    readLength(v, "max_gap", p.GetMaxGap()),
		StartAt:   startSides.domain[p.GetStartAt()],
		Stock:     readSize(v, "stock", p.GetStock()),
		Pattern:   patterns.domain[p.GetPattern()],
		Overlap:   readLength(v, "overlap", p.GetOverlap()),
	}
}

func boardsToProto(t *texts, s spec.Boards) *wattlev1.Spec_Boards {
	if s == (spec.Boards{}) {
		return nil
	}
	return &wattlev1.Spec_Boards{
		Size:      string(s.Size),
		Width:     t.size(s.Width),
		Thickness: t.size(s.Thickness),
		Gap:       t.length(s.Gap),
		MinRip:    t.optional(s.MinRip),
		MaxGap:    t.length(s.MaxGap),
		StartAt:   startSides.wire[s.StartAt],
		Stock:     t.size(s.Stock),
		Pattern:   patterns.wire[s.Pattern],
		Overlap:   t.length(s.Overlap),
	}
}

func fastenersFromProto(p *wattlev1.Spec_Fasteners) spec.Fasteners {
	s := spec.Fasteners{
		BoardNail:        p.GetBoardNail(),
		RailNail:         p.GetRailNail(),
		PerBoardPerRail:  int(p.GetPerBoardPerRail()),
		PerRailEnd:       int(p.GetPerRailEnd()),
		ScrewsPerRailEnd: int(p.GetScrewsPerRailEnd()),
		Coating:          coatings.domain[p.GetCoating()],
	}
	for nail, count := range p.GetNailsPerPound() {
		if s.NailsPerPound == nil {
			s.NailsPerPound = make(map[string]int, len(p.GetNailsPerPound()))
		}
		s.NailsPerPound[nail] = int(count)
	}
	return s
}

func fastenersToProto(s spec.Fasteners) *wattlev1.Spec_Fasteners {
	p := &wattlev1.Spec_Fasteners{
		BoardNail:        s.BoardNail,
		RailNail:         s.RailNail,
		PerBoardPerRail:  int32(s.PerBoardPerRail),
		PerRailEnd:       int32(s.PerRailEnd),
		ScrewsPerRailEnd: int32(s.ScrewsPerRailEnd),
		Coating:          coatings.wire[s.Coating],
	}
	for nail, count := range s.NailsPerPound {
		if p.NailsPerPound == nil {
			p.NailsPerPound = make(map[string]int32, len(s.NailsPerPound))
		}
		p.NailsPerPound[nail] = int32(count)
	}
	return p
}

func gatesFromProto(v *fault.List, p *wattlev1.Spec_Gates) spec.Gates {
	if p == nil {
		return spec.Gates{}
	}
	return spec.Gates{
		HingeGap:      readOptional(v, "hinge_gap", p.HingeGap, readLength),
		LatchGap:      readOptional(v, "latch_gap", p.LatchGap, readLength),
		CentreGap:     readOptional(v, "centre_gap", p.CentreGap, readLength),
		HingesPerLeaf: int(p.GetHingesPerLeaf()),
		Frame:         frames.domain[p.GetFrame()],
		FrameSize:     section.Section(p.GetFrameSize()),
	}
}

func gatesToProto(t *texts, s spec.Gates) *wattlev1.Spec_Gates {
	return &wattlev1.Spec_Gates{
		HingeGap:      t.optional(s.HingeGap),
		LatchGap:      t.optional(s.LatchGap),
		CentreGap:     t.optional(s.CentreGap),
		HingesPerLeaf: int32(s.HingesPerLeaf),
		Frame:         frames.wire[s.Frame],
		FrameSize:     string(s.FrameSize),
	}
}

func wasteFromProto(v *fault.List, p *wattlev1.Spec_Waste) spec.Waste {
	if p == nil {
		return spec.Waste{}
	}
	return spec.Waste{
		Boards:    readOptional(v, "boards", p.Boards, readDecimal),
		Rails:     readOptional(v, "rails", p.Rails, readDecimal),
		Concrete:  readOptional(v, "concrete", p.Concrete, readDecimal),
		Gravel:    readOptional(v, "gravel", p.Gravel, readDecimal),
		Fasteners: readOptional(v, "fasteners", p.Fasteners, readDecimal),
	}
}

func wasteToProto(t *texts, s spec.Waste) *wattlev1.Spec_Waste {
	return &wattlev1.Spec_Waste{
		Boards:    t.plainOptional(s.Boards),
		Rails:     t.plainOptional(s.Rails),
		Concrete:  t.plainOptional(s.Concrete),
		Gravel:    t.plainOptional(s.Gravel),
		Fasteners: t.plainOptional(s.Fasteners),
	}
}
