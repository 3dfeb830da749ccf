package layout

import (
	"slices"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// takesPull reports a post that a long straight may pull on.
func (p *planner) takesPull(m *mark) bool {
	return !m.passes() || m.gate() || m.pulls() || m.vertex >= 0 && !m.chord && p.spec.Classify(m.turn) == spec.Turns
}

// pulls are the pull posts that long straights take, evenly spaced between the
// posts that take a pull already, each moved back (or, where that leads
// nowhere, on) out of intervals in which no hole is dug. Gate openings are no
// straights.
func (p *planner) pulls() []spot {
	most := p.spec.Alignment.PullSpacing
	if most == 0 {
		return nil
	}
	var spots []spot
	for i, r := range p.site.Runs {
		run, length := int32(i), r.Length()
		for _, s := range p.straights(i, r.Closed, length) {
			for at := s.from; s.to-at > most; {
				parts := (s.to - at + most - 1) / most
				next := p.clearOfBarred(run, straight{at, s.to}, p.bendNear(i, at, at+(s.to-at)/parts, at+most))
				if next >= s.to {
					break
				}
				at = next
				station := next
				if r.Closed && station >= length {
					station -= length
				}
				spots = append(spots, p.spotAt(i, station, spot{pin: none, because: ByPull}))
			}
		}
	}
	return spots
}

// straight is a part of a run between two posts that take a pull.
type straight struct{ from, to measure.Length }

// straights of a run; of a closed run, the last leads on past its length to the
// first post that takes a pull, or all around where there is none.
func (p *planner) straights(run int, closed bool, length measure.Length) []straight {
	var all []straight
	var first, last *mark
	for i := p.runs[run].marks; i < p.runs[run].marksEnd; i++ {
		m := &p.marks[i]
		if !p.takesPull(m) {
			continue
		}
		if last == nil {
			first = m
		} else if last.gateOut < 0 {
			all = append(all, straight{last.station, m.station})
		}
		last = m
	}
	switch {
	case !closed:
	case last == nil:
		all = append(all, straight{0, length})
	case last.gateOut < 0:
		all = append(all, straight{last.station, first.station + length})
	}
	return all
}

// bendNear is the station of a bend or a pinned post within half a bay of a
// place, past before and no farther than most: better one post that pulls than
// two side by side. Without one it is the place itself.
func (p *planner) bendNear(run int, before, at, most measure.Length) measure.Length {
	best, around := at, measure.Length(0)
	if r := &p.site.Runs[run]; r.Closed && most > r.Length() {
		around = r.Length()
	}
	for i := p.runs[run].marks; i < p.runs[run].marksEnd; i++ {
		for _, station := range [...]measure.Length{p.marks[i].station, p.marks[i].station + around} {
			off := (station - at).Abs()
			if !p.marks[i].gate() && before < station && station <= most && off <= p.spec.Layout.MaxBay/2 && (best == at || off < (best-at).Abs()) {
				best = station
			}
		}
	}
	return best
}

// clearOfBarred is where on the rest of a straight a pull post may stand that
// would stand at a place: there, or where no hole is dug there, back from it or
// on, whichever leaves the straight the fewer parts; back where that is the
// same, unless it is hardly past the post before.
func (p *planner) clearOfBarred(run int32, rest straight, at measure.Length) measure.Length {
	back, on := at, at
	barred := p.noHoles(int(run), p.terminalPost().pit.Radius()) // by where they begin
	for _, b := range barred {
		if on > b.from && on < b.to {
			on = b.to
		}
	}
	for _, b := range slices.Backward(barred) {
		if back > b.from && back < b.to {
			back = b.from
		}
	}
	most := p.spec.Alignment.PullSpacing
	parts := func(from measure.Length) measure.Length { return (rest.to - from + most - 1) / most }
	if back <= rest.from+p.spec.Layout.MaxBay/2 || on-rest.from <= most && parts(on) < parts(back) {
		return on
	}
	return back
}
