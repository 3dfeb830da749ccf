package spec

import (
	"wattle/internal/fault"
	"wattle/internal/measure"
)

// More than any saw cuts, and than anyone leaves open beside a leaf.
const (
	widestKerf    = measure.Inch
	widestGateGap = measure.Foot
)

// ValidateSense notes what nobody builds, though rules before version 3 took it:
// they still plan it, so that what was planned then is planned alike now. It
// adds to Validate.
func (s *Spec) ValidateSense(v *fault.List) {
	sense := func(v *fault.List, field string, l, most measure.Length) {
		if l > most && l <= longestPart { // longer ones are told by Validate
			v.Add(field, "expected between 0 and %s, found %s", most, l)
		}
	}
	sense(v, "kerf", given(s.Kerf), widestKerf)
	gates := v.At("gates")
	sense(gates, "hinge_gap", given(s.Gates.HingeGap), widestGateGap)
	sense(gates, "latch_gap", given(s.Gates.LatchGap), widestGateGap)
	sense(gates, "centre_gap", given(s.Gates.CentreGap), widestGateGap)
	if bay, gap := s.Layout.MaxBay, s.Boards.Gap; s.HasBoards() && bay >= narrowestBay && gap <= longestPart && gap >= bay {
		v.At("boards").Add("gap", "expected less than the widest bay of %s, found %s", measure.Tape(bay), measure.Tape(gap))
	}
}
