package spec

import (
	"slices"
	"strings"
	"testing"

	"wattle/internal/arc"
	"wattle/internal/fault"
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

// Chain link takes the spacing of its radius [LAY-6, Tremonton UT 3.18.010 D],
// and no other fence does. The source leaves the limits between rows open.
func TestChainLinkCurves(t *testing.T) {
	s := Spec{Family: ChainLink, Height: 6 * ft, Layout: Layout{MaxBay: 10 * ft}}
	for _, c := range []struct{ radius, want measure.Length }{
		{900, 10}, {501, 10}, {499, 8}, {201, 8}, {199, 6}, {101, 6}, {99, 5},
	} {
		if got := arc.Spacing(s.WithDefaults().Curves, c.radius*ft); got != c.want*ft {
			t.Errorf("radius %d ft: posts %s apart, want %d ft", c.radius, got.Imperial(), c.want)
		}
	}
	// Posts that stand closer on tangents stand as close on a wide curve.
	s.Layout.MaxBay = 7 * ft
	for _, c := range []struct{ radius, want measure.Length }{{900, 7}, {300, 7}, {150, 6}, {50, 5}} {
		if got := arc.Spacing(s.WithDefaults().Curves, c.radius*ft); got != c.want*ft {
			t.Errorf("bays of 7 ft, radius %d ft: posts %s apart, want %d ft", c.radius, got.Imperial(), c.want)
		}
	}
	if s.Curves = []arc.Limit{{Spacing: 4 * ft}}; !slices.Equal(s.WithDefaults().Curves, s.Curves) {
		t.Error("a table of its own gave way to the family's")
	}
	// A table of the family's own making is never what is wrong with a spec.
	for _, bay := range []measure.Length{-1, 1, 3 * ft, 60 * ft, measure.MaxLength} {
		s.Curves, s.Layout.MaxBay = nil, bay
		v := new(fault.List)
		if new(s.WithDefaults()).Validate(v); v.Err() != nil && strings.Contains(v.Err().Error(), "curves") {
			t.Errorf("bays of %s: %v", bay, v.Err())
		}
	}
}

// The least bay is a third of what limits bays: the panel, where it is narrower
// than the widest bay (common practice).
func TestLeastBay(t *testing.T) {
	for _, c := range []struct {
		hang       Hang
		bay, stock measure.Length
		want       measure.Length
	}{
		{Lapped, 9, 12, 3}, {Free, 9, 0, 3}, {Between, 9, 12, 3}, {Between, 30, 6, 2}, {Between, 30, 0, 10},
	} {
		s := Spec{Height: 6 * ft, Layout: Layout{Hang: c.hang, MaxBay: c.bay * ft, RailStock: c.stock * ft}}
		if got := *s.WithDefaults().Layout.MinBay; got != c.want*ft {
			t.Errorf("%s, bays of %d ft and stock of %d ft: at least %s, want %d ft", c.hang, c.bay, c.stock, got.Imperial(), c.want)
		}
	}
}
