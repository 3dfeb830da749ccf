package spec

import (
	"slices"
	"testing"

	"wattle/internal/arc"
	"wattle/internal/measure"
)

// An arc takes chords up to the widest bay unless the spec has a table.
func TestCurvesDefault(t *testing.T) {
	s := Spec{Height: 6 * ft, Layout: Layout{MaxBay: 7 * ft}}
	if got := s.WithDefaults().Curves; len(got) != 1 || arc.Spacing(got, 1) != 7*ft || arc.Spacing(got, measure.MaxLength) != 7*ft {
		t.Errorf("no table: %v, want 7 ft on any radius", got)
	}
	s.Curves = slices.Clone(arc.ChainLink)
	filled := s.WithDefaults()
	if !slices.Equal(filled.Curves, arc.ChainLink) {
		t.Errorf("a table of its own became %v", filled.Curves)
	}
	if filled.Curves[0].Spacing = 1; s.Curves[0] != arc.ChainLink[0] {
		t.Error("the filled spec shares the table it was made from")
	}
}
