//nolint:protogetter // an optional field is read as the pointer it is: nil says absent, which its getter would hide
package rpc

import (
	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/arc"
	"wattle/internal/fault"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

// What a spec says of the line and of the ground.

var slopeModes = pairsOf(map[wattlev1.SlopeMode]spec.SlopeMode{
	wattlev1.SlopeMode_SLOPE_MODE_RACKED:  spec.Racked,
	wattlev1.SlopeMode_SLOPE_MODE_STEPPED: spec.Stepped,
})

var railEnds = pairsOf(map[wattlev1.Spec_Slope_RailEnds]spec.RailEnds{
	wattlev1.Spec_Slope_RAIL_ENDS_SQUARE: spec.SquareEnds,
	wattlev1.Spec_Slope_RAIL_ENDS_PLUMB:  spec.PlumbEnds,
})

var fills = pairsOf(map[wattlev1.Spec_Slope_Fill]spec.Fill{
	wattlev1.Spec_Slope_FILL_LONGER_BOARDS: spec.LongerBoards,
	wattlev1.Spec_Slope_FILL_KICK_BOARD:    spec.KickBoard,
	wattlev1.Spec_Slope_FILL_REFUSE:        spec.Refuse,
	wattlev1.Spec_Slope_FILL_LEAVE:         spec.LeaveOpen,
})

func alignmentFromProto(v *fault.List, p *wattlev1.Spec_Alignment) spec.Alignment {
	if p == nil {
		return spec.Alignment{}
	}
	return spec.Alignment{
		Rules:         p.GetRules(),
		Above:         p.Above,
		AnchorAngle:   readAngleSize(v, "anchor_angle", p.GetAnchorAngle()),
		ConcreteAngle: readAngleSize(v, "concrete_angle", p.GetConcreteAngle()),
		PullSpacing:   readSize(v, "pull_spacing", p.GetPullSpacing()),
		GradeBreak:    readAngleSize(v, "grade_break", p.GetGradeBreak()),
	}
}

func alignmentToProto(t *texts, s spec.Alignment) *wattlev1.Spec_Alignment {
	return &wattlev1.Spec_Alignment{
		Rules:         s.Rules,
		Above:         s.Above,
		AnchorAngle:   sizeText(s.AnchorAngle),
		ConcreteAngle: sizeText(s.ConcreteAngle),
		PullSpacing:   t.size(s.PullSpacing),
		GradeBreak:    sizeText(s.GradeBreak),
	}
}

func slopeFromProto(v *fault.List, p *wattlev1.Spec_Slope) spec.Slope {
	if p == nil {
		return spec.Slope{}
	}
	return spec.Slope{
		Mode:         slopeModes.domain[p.GetMode()],
		RailEnds:     railEnds.domain[p.GetRailEnds()],
		MaxRack:      readSize(v, "max_rack", p.GetMaxRack()),
		AlongGrade:   p.AlongGrade,
		MaxGroundGap: readOptional(v, "max_ground_gap", p.MaxGroundGap, readLength),
		Fill:         fills.domain[p.GetFill()],
		KickSize:     timber.Size(p.GetKickSize()),
	}
}

func slopeToProto(t *texts, s spec.Slope) *wattlev1.Spec_Slope {
	return &wattlev1.Spec_Slope{
		Mode:         slopeModes.wire[s.Mode],
		RailEnds:     railEnds.wire[s.RailEnds],
		MaxRack:      t.size(s.MaxRack),
		AlongGrade:   s.AlongGrade,
		MaxGroundGap: t.optional(s.MaxGroundGap),
		Fill:         fills.wire[s.Fill],
		KickSize:     string(s.KickSize),
	}
}

func curvesFromProto(v *fault.List, p []*wattlev1.Spec_Curve) []arc.Limit {
	var curves []arc.Limit
	for i, row := range p {
		at := v.Index(i)
		curves = append(curves, arc.Limit{Radius: readLength(at, "radius", row.GetRadius()), Spacing: readLength(at, "chord", row.GetChord())})
	}
	return curves
}

func curvesToProto(t *texts, s []arc.Limit) []*wattlev1.Spec_Curve {
	var curves []*wattlev1.Spec_Curve
	for _, row := range s {
		curves = append(curves, &wattlev1.Spec_Curve{Radius: t.length(row.Radius), Chord: t.length(row.Spacing)})
	}
	return curves
}
