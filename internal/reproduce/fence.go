package main

import (
	"github.com/govalues/decimal"

	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/spec"
	"wattle/internal/timber"
)

// fence draws a spec of one of the families, with its defaults filled. Rules
// before version 3 know upright boards alone, without options.
func (d *dice) fence(version int) spec.Spec {
	s := spec.Spec{Name: "generated", Family: spec.VerticalBoards}
	if version > 2 {
		s.Family = of(d, spec.Families()...)
	}
	s.Height = measure.Length(of(d, 3, 4, 5, 6, 6, 7, 8)) * foot
	if d.one(4) {
		s.Height += d.length(0, 11*measure.Inch, sixteenth)
	}
	s.Layout.Method = of(d, spec.Even, spec.Even, spec.Remainder, spec.Feathered)
	if d.one(4) {
		s.Layout.TerminalLimit = new(false)
	}
	if s.Family == spec.VerticalBoards || s.Family == spec.HorizontalBoards {
		if d.one(3) {
			s.Layout.MaxBay = d.length(5*foot, 6*foot, measure.Inch)
		}
		s.Boards.Size = of(d, timber.Size("1x6"), "1x6", "1x4")
	}
	d.ground(&s, version)
	if version > 2 {
		d.family(&s)
		d.options(&s)
	}
	return s.WithDefaults()
}

// ground draws how posts are set, and from version 2 on how the fence meets the
// ground.
func (d *dice) ground(s *spec.Spec, version int) {
	s.Concrete.Set = of(d, spec.WetSet, spec.DrySet, spec.NoSet)
	if d.one(3) {
		s.Holes.FrostDepth, s.Holes.FrostMargin = d.length(30*measure.Inch, 54*measure.Inch, measure.Inch), 6*measure.Inch
	}
	if d.one(4) {
		s.Concrete.Crown = d.length(measure.Inch, 3*measure.Inch, sixteenth)
	}
	if version < 2 {
		return
	}
	if s.Family != spec.SplitRail && s.Family != spec.Wire { // they follow the ground
		s.Slope.Mode = of(d, spec.Racked, spec.Racked, spec.Stepped)
	}
	s.Slope.RailEnds = of(d, spec.SquareEnds, spec.PlumbEnds)
	s.Posts.Stock = []measure.Length{8 * foot, 10 * foot, 12 * foot, 14 * foot}
	if d.one(4) && s.Family == spec.VerticalBoards {
		s.Slope.Fill = of(d, spec.LongerBoards, spec.KickBoard)
	}
	if d.one(5) {
		s.Alignment.Rules = of(d, spec.RuleSets()...)
	}
}

// family draws particulars.
func (d *dice) family(s *spec.Spec) {
	detail := func(name string, values ...string) {
		if !d.one(2) {
			return
		}
		if s.Details == nil {
			s.Details = spec.Details{}
		}
		s.Details[name] = of(d, values...)
	}
	switch s.Family {
	case spec.VerticalBoards:
		switch of(d, spec.SideBySide, spec.Spaced, spec.BoardOnBoard, spec.ShadowBox) {
		case spec.Spaced:
			s.Boards.Pattern, s.Boards.Gap = spec.Spaced, d.length(measure.Inch, 3*measure.Inch, sixteenth)
		case spec.BoardOnBoard:
			s.Boards.Pattern, s.Boards.Overlap = spec.BoardOnBoard, d.length(measure.Inch/2, measure.Inch*3/2, sixteenth)
		case spec.ShadowBox:
			s.Boards.Pattern, s.Boards.Gap = spec.ShadowBox, d.length(measure.Inch*3/2, 3*measure.Inch, sixteenth)
		default:
		}
		if d.one(3) {
			s.Rails.MaxSpan = 2
		}
		detail("stock_1", "10 ft", "12 ft", "16 ft")
	case spec.HorizontalBoards:
		detail("span", "1", "2")
		detail("rip_top", "true", "false")
	case spec.ChainLink:
		detail("top", "rail", "wire", "none")
		detail("slats", "true")
		detail("ties", "trade", "f567", "highway")
		detail("barb_arms", "none", "single", "double")
	case spec.Panels:
		detail("material", "ornamental-metal", "vinyl", "wood")
		detail("cut", "true", "true", "true", "false")
	case spec.SplitRail:
		detail("rails", "2", "3")
		detail("lap", "8 in", "12 in")
	case spec.Wire:
		detail("kind", "barbed", "woven", "high-tensile")
		detail("stays", "true", "false")
	default: // a family that is new here is drawn with its defaults
	}
}

// options draws what may be added to a fence, and how its labour is counted.
func (d *dice) options(s *spec.Spec) {
	if s.HasBoards() {
		if d.one(4) {
			s.Extras.CapBoard, s.Extras.Trim = "2x6", "1x4"
		}
		if d.one(5) {
			s.Extras.Stain = spec.Stain{Coats: d.between(1, 3), Coverage: d.decimal(120, 250, 0)}
		}
		if d.one(3) {
			d.moisture(&s.Moisture)
		}
		if s.Family == spec.VerticalBoards && d.one(4) {
			s.Posts.Size, s.Gates.Frame = section.Section("2.375od"), spec.SteelFrame
		}
		if d.one(5) {
			s.Posts.TerminalSize = "6x6"
		}
	}
	if d.one(2) {
		s.Labour = spec.Labour{By: spec.ByTasks, Crew: d.between(2, 5)}
		if d.one(2) {
			s.Labour.Equipment = []string{"auger"}
		}
	}
	if d.one(4) {
		s.Waste.Boards = new(d.decimal(0, 150, 1))
	}
}

// moisture draws how wet boards are hung and how dry they get: by a moisture, or
// by the air, which goes through logarithms and powers.
func (d *dice) moisture(m *spec.Moisture) {
	m.Species = string(of(d, timber.AllSpecies()...))
	m.Installed = of(d, "", "12 %", "15.5 %", "19 %")
	m.ApplyGap = d.one(3)
	if d.one(2) {
		m.Service = of(d, "8 %", "11.5 %", "14 %")
		return
	}
	m.Temperature, m.Humidity = new(d.decimal(-50, 350, 1)), new(d.decimal(200, 850, 1))
}

// decimal is a number between two whole ones of its last place.
func (d *dice) decimal(least, most, scale int) decimal.Decimal {
	return decimal.MustNew(int64(d.between(least, most)), scale)
}
