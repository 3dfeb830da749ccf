package spec

import (
	"slices"

	"wattle/internal/arc"
	"wattle/internal/fault"
	"wattle/internal/measure"
)

// mostCurves is the most rows of a table of curves.
const mostCurves = 50

// fillCurves gives arcs their chords: chain link's by the radius [LAY-6], none
// of them wider than the widest bay, which is that of every other fence.
func (s *Spec) fillCurves() {
	if s.Curves = slices.Clone(s.Curves); len(s.Curves) > 0 {
		return
	}
	widest := s.Layout.MaxBay
	if s.Family != ChainLink || widest < narrowestBay { // so narrow a bay is Layout's to refuse
		s.Curves = []arc.Limit{{Spacing: widest}}
		return
	}
	s.Curves = slices.Clone(arc.ChainLink)
	for i := range s.Curves {
		s.Curves[i].Spacing = min(s.Curves[i].Spacing, widest)
	}
}

// validateCurves says nothing of a default row: its chord is the widest bay,
// which Layout answers for.
func (s *Spec) validateCurves(v *fault.List) {
	curves := s.Curves
	if len(curves) == 1 && curves[0] == (arc.Limit{Spacing: s.Layout.MaxBay}) {
		return
	}
	v.Require(len(curves) <= mostCurves, "", "expected at most %d rows, found %d", mostCurves, len(curves))
	for i, c := range curves {
		row := v.Index(i)
		if row.Require(c.Radius >= 0 && c.Radius <= measure.MaxLength, "radius", "expected between 0 and %s, found %s", measure.MaxLength.In(measure.Foot, 0), c.Radius) && i > 0 {
			before := curves[i-1].Radius
			row.Require(c.Radius < before, "radius", "%s does not fall below %s; expected radii in descending order", measure.Tape(c.Radius), measure.Tape(before))
		}
		row.Require(c.Spacing > 0 && c.Spacing <= longestPart, "chord", "expected more than 0 and at most %s, found %s", longestPart, c.Spacing)
	}
}
