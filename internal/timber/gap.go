package timber

import (
	"fmt"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// mostBoards is the most boards of one stretch that are reckoned with.
const mostBoards = 1_000_000

// Gap is the space beside each of the boards of a stretch in both states.
type Gap struct {
	// Advised is the gap to install with: see Change.AdvisedGap.
	Advised measure.Length
	// Installed is the gap that is applied, and InService what becomes of it,
	// 0 where the boards close it.
	Installed, InService measure.Length
	// Push is by how much the boards together are too wide for their places once
	// they have swelled: each board's swell less its gap, times the boards. They
	// push one another off the rails by it.
	Push measure.Length
}

// AdvisedGap is the gap to install boards with (common practice): their swell,
// rounded up to 1/16 in, where they swell; 0 where they shrink, since they are
// butted tight and open by themselves.
func (c Change) AdvisedGap() measure.Length {
	if c.Delta <= 0 {
		return 0
	}
	sixteenths := (c.Delta-1)/measure.Sixteenth + 1
	return sixteenths * measure.Sixteenth
}

// GapFor is both states of a stretch of boards that change by c and are
// installed with a gap beside each. The sums are exact in the nanometres of
// c.Delta. All that is wrong with the arguments is in the error, under "change",
// "gap" and "boards".
func GapFor(c Change, gap measure.Length, boards int) (Gap, error) {
	var v fault.List
	v.Require(c.Delta >= -widest && c.Delta <= widest, "change", "expected a change of at most %v either way, found %v", widest, c.Delta)
	v.Require(gap >= 0 && gap <= widest, "gap", "expected a gap of 0 to %v, found %v", widest, gap)
	v.Require(boards > 0 && boards <= mostBoards, "boards", "expected 1 to %d boards, found %d", mostBoards, boards)
	if err := v.Err(); err != nil {
		return Gap{}, err
	}
	return Gap{
		Advised:   c.AdvisedGap(),
		Installed: gap,
		InService: max(gap-c.Delta, 0),
		Push:      max(c.Delta-gap, 0) * measure.Length(boards),
	}, nil
}

// Sentence says both states, and what to do where the gap is too small.
func (g Gap) Sentence() string {
	s := "installed tight"
	if g.Installed > 0 {
		s = "installed " + g.Installed.Inches(3) + " apart"
	}
	switch {
	case g.Push > 0:
		return s + fmt.Sprintf(", the boards of the stretch become %s too wide together and push off the rails: leave at least %s between them",
			g.Push.Inches(3), g.Advised.Imperial())
	case g.InService == g.Installed:
		return s + ", the same in service"
	case g.InService == 0:
		return s + ", closed in service"
	default:
		return s + ", " + g.InService.Inches(3) + " apart in service"
	}
}
