package rpc

import (
	"pgregory.net/rapid"

	"wattle/internal/arc"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

func drawAngle(t *rapid.T) measure.Angle {
	return measure.Angle(rapid.Int64Range(-int64(360*measure.Degree), int64(360*measure.Degree)).Draw(t, "angle"))
}

func drawSpec(t *rapid.T) spec.Spec {
	s := spec.Spec{
		Name: drawText(t), Family: spec.Family(drawText(t)), Height: drawLength(t),
		GroundClearance: drawOptional(t, drawLength),
		CornerAngle:     drawAngle(t),
		Access:          drawOptional(t, drawLength),
		Alignment: spec.Alignment{
			Rules: drawOf(t, append(spec.RuleSets(), "")...), Above: drawOptional(t, drawBool),
			AnchorAngle: drawAngle(t), ConcreteAngle: drawAngle(t), PullSpacing: drawLength(t), GradeBreak: drawAngle(t),
		},
		Slope: spec.Slope{
			Mode: drawOf(t, "", spec.Racked, spec.Stepped), RailEnds: drawOf(t, "", spec.SquareEnds, spec.PlumbEnds),
			MaxRack: drawLength(t), AlongGrade: drawOptional(t, drawBool), MaxGroundGap: drawOptional(t, drawLength),
			Fill: drawOf(t, "", spec.LongerBoards, spec.KickBoard, spec.Refuse, spec.LeaveOpen), KickSize: drawOf(t, "", timber.Size("2x8")),
		},
		Curves: some(t, 0, func() arc.Limit { return arc.Limit{Radius: drawLength(t), Spacing: drawLength(t)} }),
		Layout: spec.Layout{
			Method: drawOf(t, "", spec.Even, spec.Remainder, spec.Feathered), MaxBay: drawLength(t), RailStock: drawLength(t),
			TerminalLimit: drawOptional(t, drawBool), ShortEnd: drawOf(t, "", spec.Finish, spec.Start, spec.Both),
			Feather: drawCount(t), MinBay: drawOptional(t, drawLength),
			Hang: drawOf(t, "", spec.Lapped, spec.Between, spec.Free), Insertion: drawLength(t), BracketGap: drawLength(t),
		},
		Posts: spec.Posts{
			Size: section.Section(drawText(t)), TerminalSize: section.Section(drawText(t)), GateSize: section.Section(drawText(t)), Stock: drawLengths(t),
			AboveBoards: drawLength(t), Caps: drawOptional(t, drawBool),
		},
		Holes: spec.Holes{
			MinDepth: drawLength(t), ByHeight: drawOptional(t, drawBool), FrostDepth: drawLength(t), FrostMargin: drawLength(t),
			Gravel: drawOptional(t, drawLength), Float: drawLength(t), Diameter: drawLength(t), GateExtraDepth: drawOptional(t, drawLength),
			Rules: drawText(t), TerminalDiameter: drawLength(t), TerminalDepth: drawLength(t),
		},
		Concrete: spec.Concrete{
			Set: drawOf(t, "", spec.WetSet, spec.DrySet, spec.NoSet, spec.Driven), BagPounds: drawCount(t), YieldPerPound: drawDecimal(t),
			StopBelowGrade: drawLength(t), Crown: drawLength(t),
		},
		Rails: spec.Rails{
			Size: drawOf(t, "", timber.Size("2x4")), Count: drawCount(t), TopReveal: drawOptional(t, drawLength),
			BottomReveal: drawOptional(t, drawLength), Stock: drawLengths(t), MaxSpan: drawCount(t),
		},
		Boards: spec.Boards{
			Size: drawOf(t, "", timber.Size("1x6")), Width: drawLength(t), Thickness: drawLength(t), Gap: drawLength(t),
			MinRip: drawOptional(t, drawLength), MaxGap: drawLength(t),
			StartAt: drawOf(t, "", spec.StartVisible, spec.StartLow, spec.StartHigh), Stock: drawLength(t), Overlap: drawLength(t),
			Pattern: drawOf(t, "", spec.SideBySide, spec.Spaced, spec.BoardOnBoard, spec.ShadowBox),
		},
		Fasteners: spec.Fasteners{
			BoardNail: drawText(t), RailNail: drawText(t), PerBoardPerRail: drawCount(t), PerRailEnd: drawCount(t),
			ScrewsPerRailEnd: drawCount(t), Coating: drawOf(t, "", spec.HotDip, spec.Stainless, spec.Bright),
		},
		Gates: spec.Gates{
			HingeGap: drawOptional(t, drawLength), LatchGap: drawOptional(t, drawLength), CentreGap: drawOptional(t, drawLength),
			HingesPerLeaf: drawCount(t), Frame: drawOf(t, "", spec.WoodFrame, spec.SteelFrame, spec.MeshFrame), FrameSize: section.Section(drawText(t)),
		},
		Labour: spec.Labour{
			Exclude: drawBool(t), By: drawOf(t, "", spec.ByFence, spec.ByTasks), Crew: drawCount(t), HoursPerDay: drawDecimal(t),
			Equipment: some(t, 0, func() string { return drawText(t) }),
		},
		Extras: spec.Extras{
			CapBoard: timber.Size(drawText(t)), Trim: timber.Size(drawText(t)), TrimSides: drawCount(t), KickBoard: timber.Size(drawText(t)),
			Lattice: drawLength(t), LatticeLength: drawLength(t), Stock: drawLengths(t),
			Stain: spec.Stain{Coats: drawCount(t), Coverage: drawDecimal(t), Sides: drawCount(t), Edges: drawBool(t)},
		},
		Moisture: spec.Moisture{
			Species: drawText(t), Installed: drawText(t), Service: drawText(t),
			Temperature: drawOptional(t, drawDecimal), Humidity: drawOptional(t, drawDecimal), ApplyGap: drawBool(t),
		},
		Waste: spec.Waste{
			Boards: drawOptional(t, drawDecimal), Rails: drawOptional(t, drawDecimal), Concrete: drawOptional(t, drawDecimal),
			Gravel: drawOptional(t, drawDecimal), Fasteners: drawOptional(t, drawDecimal),
		},
		Kerf: drawOptional(t, drawLength),
	}
	if rapid.Bool().Draw(t, "maps") {
		s.Items = map[string]string{drawText(t): drawText(t)}
		s.Fasteners.NailsPerPound = map[string]int{drawText(t): drawCount(t)}
		s.Details = spec.Details{drawText(t): drawText(t)}
	}
	return s
}
