package spec

import "wattle/internal/measure"

// RailThickness is how far a rail stands off the post face.
func (s *Spec) RailThickness() measure.Length {
	thickness, _ := s.Rails.Size.Dressed()
	return thickness
}

// RailDepth is the height of a rail, which stands on edge against the posts.
func (s *Spec) RailDepth() measure.Length {
	_, width := s.Rails.Size.Dressed()
	return width
}

// BoardLength is what a board reaches over: the height less the ground
// clearance and a lattice top.
func (s *Spec) BoardLength() measure.Length {
	return s.Height - given(s.GroundClearance) - s.Extras.Lattice
}

// RailCount is the number of rails in each bay.
func (s *Spec) RailCount() int { return s.Rails.Count }

// railCount is the number of rails a height takes: 2 up to 4 ft, 3 up to 6 ft,
// 4 up to 8 ft (common practice); 0 above, where practice gives no number.
func railCount(height measure.Length) int {
	switch {
	case height <= 0:
		return 0
	case height <= 4*measure.Foot:
		return 2
	case height <= 6*measure.Foot:
		return 3
	case height <= 8*measure.Foot:
		return 4
	default:
		return 0
	}
}

// RailCentres are the heights of the rail centres above grade, from the bottom
// up. The reveals run from the board ends to the outer edges of the bottom and
// the top rail; the rails between are spaced evenly by centres, each rounded
// to a nanometre. Fewer than two rails have none.
func (s *Spec) RailCentres() []measure.Length {
	n := s.RailCount()
	if n < 2 {
		return nil
	}
	bottom := given(s.GroundClearance) + given(s.Rails.BottomReveal) + s.RailDepth()/2
	top := s.Height - s.Extras.Lattice - given(s.Rails.TopReveal) - s.RailDepth()/2
	centres := make([]measure.Length, n)
	for i := range centres {
		up, _ := measure.MulDivRound(int64(top-bottom), int64(i), int64(n-1))
		centres[i] = bottom + measure.Length(up)
	}
	return centres
}
