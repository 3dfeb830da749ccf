//nolint:protogetter // an optional field is read as the pointer it is: nil says absent, which its getter would hide
package rpc

import (
	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/civil"
	"wattle/internal/fault"
	"wattle/internal/site"
)

func conditionsFromProto(v *fault.List, p *wattlev1.Conditions) site.Conditions {
	if p == nil {
		return site.Conditions{}
	}
	w, f, y := v.At("wind"), v.At("footing"), v.At("yard")
	c := site.Conditions{
		SoilClass: int(p.GetSoilClass()), Unsuitable: p.GetUnsuitable(),
		Digging: p.GetDigging(), Access: p.GetAccess(), Grade: p.GetGrade(), Season: p.GetSeason(),
		Wind: site.Wind{
			Speed: int(p.GetWind().GetSpeed()), Exposure: p.GetWind().GetExposure(),
			Topography: readDecimal(w, "topography", p.GetWind().GetTopography()),
			Flat:       readDecimal(w, "flat", p.GetWind().GetFlat()),
		},
		Footing: site.Footing{
			PoleFactor: p.GetFooting().GetPoleFactor(),
			Bearing:    readDecimal(f, "bearing", p.GetFooting().GetBearing()),
			FixedS1:    readDecimal(f, "fixed_s1", p.GetFooting().GetFixedS1()),
		},
		PostStrength: site.PostStrength{
			Species: p.GetPostStrength().GetSpecies(), Grade: p.GetPostStrength().GetGrade(),
			Fb:     readDecimal(v.At("post_strength"), "fb", p.GetPostStrength().GetFb()),
			Source: p.GetPostStrength().GetSource(),
		},
		RailSpan: readLength(v, "rail_span", p.GetRailSpan()),
	}
	for i, o := range p.GetTearOut() {
		c.TearOut = append(c.TearOut, oldFenceFromProto(v.At("tear_out").Index(i), o))
	}
	c.Pool = poolFromProto(v.At("pool"), p.GetPool())
	c.Yard = site.Yard{
		Name:       p.GetYard().GetName(),
		MaxHeight:  readLength(y, "max_height", p.GetYard().GetMaxHeight()),
		PermitOver: readLength(y, "permit_over", p.GetYard().GetPermitOver()),
	}
	for i, s := range p.GetSights() {
		c.Sights = append(c.Sights, sightFromProto(v.At("sights").Index(i), s))
	}
	c.Notice = noticeFromProto(v.At("notice"), p.GetNotice())
	return c
}

// conditionsToProto is nil where nothing is known.
func conditionsToProto(c site.Conditions) *wattlev1.Conditions {
	p := &wattlev1.Conditions{
		SoilClass: int32(c.SoilClass), Unsuitable: c.Unsuitable,
		Digging: c.Digging, Access: c.Access, Grade: c.Grade, Season: c.Season,
		Wind: orNil(&wattlev1.Conditions_Wind{
			Speed: int32(c.Wind.Speed), Exposure: c.Wind.Exposure,
			Topography: plainUnlessZero(c.Wind.Topography), Flat: plainUnlessZero(c.Wind.Flat),
		}),
		Pool: poolToProto(c.Pool),
		Yard: orNil(&wattlev1.Conditions_Yard{
			Name: c.Yard.Name, MaxHeight: sizeText(c.Yard.MaxHeight), PermitOver: sizeText(c.Yard.PermitOver),
		}),
		Footing: orNil(&wattlev1.Conditions_Footing{
			PoleFactor: c.Footing.PoleFactor, Bearing: plainUnlessZero(c.Footing.Bearing), FixedS1: plainUnlessZero(c.Footing.FixedS1),
		}),
		PostStrength: orNil(&wattlev1.Conditions_PostStrength{
			Species: c.PostStrength.Species, Grade: c.PostStrength.Grade,
			Fb: plainUnlessZero(c.PostStrength.Fb), Source: c.PostStrength.Source,
		}),
		RailSpan: sizeText(c.RailSpan),
		Notice:   noticeToProto(c.Notice),
	}
	for _, o := range c.TearOut {
		p.TearOut = append(p.TearOut, &wattlev1.Conditions_OldFence{
			Length: o.Length.String(), Height: o.Height.String(), Footings: int32(o.Footings),
			PoundsPerFoot: plainUnlessZero(o.PoundsPerFoot), CubicFeetPerFoot: plainUnlessZero(o.CubicFeetPerFoot),
			FootingPounds: plainUnlessZero(o.FootingPounds), FootingCubicFeet: plainUnlessZero(o.FootingCubicFeet),
		})
	}
	for _, s := range c.Sights {
		p.Sights = append(p.Sights, &wattlev1.Conditions_Sight{
			Name: s.Name, Corners: verticesToProto(s.Corners[:]), MaxHeight: s.MaxHeight.String(),
		})
	}
	return orNil(p)
}

func sightFromProto(v *fault.List, p *wattlev1.Conditions_Sight) site.Sight {
	s := site.Sight{Name: p.GetName(), MaxHeight: readLength(v, "max_height", p.GetMaxHeight())}
	v.Require(len(p.GetCorners()) == len(s.Corners), "corners", "expected %d, found %d", len(s.Corners), len(p.GetCorners()))
	for i, corner := range p.GetCorners() {
		at := v.At("corners").Index(i)
		point := pointFromProto(at, corner)
		at.Require(corner.GetElevation() == "", "elevation", "a triangle in plan has none; leave it out")
		at.Require(corner.GetArc() == nil, "arc", "a triangle has straight sides only; leave it out")
		if i < len(s.Corners) {
			s.Corners[i] = point
		}
	}
	return s
}

func oldFenceFromProto(v *fault.List, p *wattlev1.Conditions_OldFence) site.OldFence {
	return site.OldFence{
		Length:           readLength(v, "length", p.GetLength()),
		Height:           readLength(v, "height", p.GetHeight()),
		Footings:         int(p.GetFootings()),
		PoundsPerFoot:    readDecimal(v, "pounds_per_foot", p.GetPoundsPerFoot()),
		CubicFeetPerFoot: readDecimal(v, "cubic_feet_per_foot", p.GetCubicFeetPerFoot()),
		FootingPounds:    readDecimal(v, "footing_pounds", p.GetFootingPounds()),
		FootingCubicFeet: readDecimal(v, "footing_cubic_feet", p.GetFootingCubicFeet()),
	}
}

func poolFromProto(v *fault.List, p *wattlev1.Conditions_Pool) *site.Pool {
	if p == nil {
		return nil
	}
	return &site.Pool{
		BottomGap:     readOptional(v, "bottom_gap", p.BottomGap, readLength),
		OverDeck:      p.GetOverDeck(),
		LargestGap:    readOptional(v, "largest_gap", p.LargestGap, readLength),
		RailsInside:   p.RailsInside,
		RailsApart:    readOptional(v, "rails_apart", p.RailsApart, readLength),
		Mesh:          readOptional(v, "mesh", p.Mesh, readLength),
		Slatted:       p.GetSlatted(),
		OpensOutward:  p.OpensOutward,
		SelfClosing:   p.SelfClosing,
		SelfLatching:  p.SelfLatching,
		LatchHeight:   readOptional(v, "latch_height", p.LatchHeight, readLength),
		LatchInside:   p.LatchInside,
		LatchBelowTop: readOptional(v, "latch_below_top", p.LatchBelowTop, readLength),
		LatchOpening:  readOptional(v, "latch_opening", p.LatchOpening, readLength),
		MinHeight:     readLength(v, "min_height", p.GetMinHeight()),
		MaxMesh:       readLength(v, "max_mesh", p.GetMaxMesh()),
	}
}

func poolToProto(s *site.Pool) *wattlev1.Conditions_Pool {
	if s == nil {
		return nil
	}
	return &wattlev1.Conditions_Pool{
		BottomGap:     textOf(s.BottomGap),
		OverDeck:      s.OverDeck,
		LargestGap:    textOf(s.LargestGap),
		RailsInside:   s.RailsInside,
		RailsApart:    textOf(s.RailsApart),
		Mesh:          textOf(s.Mesh),
		Slatted:       s.Slatted,
		OpensOutward:  s.OpensOutward,
		SelfClosing:   s.SelfClosing,
		SelfLatching:  s.SelfLatching,
		LatchHeight:   textOf(s.LatchHeight),
		LatchInside:   s.LatchInside,
		LatchBelowTop: textOf(s.LatchBelowTop),
		LatchOpening:  textOf(s.LatchOpening),
		MinHeight:     sizeText(s.MinHeight),
		MaxMesh:       sizeText(s.MaxMesh),
	}
}

func noticeFromProto(v *fault.List, p *wattlev1.Conditions_Notice) *site.Notice {
	if p == nil {
		return nil
	}
	n := &site.Notice{Rule: p.GetRule(), Given: readDate(v, "given", p.GetGiven())}
	if p.Hour != nil {
		n.Hour = new(int(p.GetHour()))
	}
	for i, day := range p.GetHolidays() {
		n.Holidays = append(n.Holidays, read(v.At("holidays").Index(i), "", day, civil.Parse))
	}
	return n
}

func noticeToProto(s *site.Notice) *wattlev1.Conditions_Notice {
	if s == nil {
		return nil
	}
	p := &wattlev1.Conditions_Notice{Rule: s.Rule, Given: s.Given.String()}
	if s.Hour != nil {
		p.Hour = new(int32(*s.Hour))
	}
	for _, day := range s.Holidays {
		p.Holidays = append(p.Holidays, day.String())
	}
	return p
}
