package render

import (
	"cmp"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// gather finds what belongs to the run.
func (e *elevationSheet) gather() {
	for _, b := range baysOf(e.run, e.layout) {
		if has(e.layout, e.layout.Bays[b.index].Start, e.layout.Bays[b.index].End) && b.to > b.from {
			e.bays = append(e.bays, b)
		}
	}
	slices.SortStableFunc(e.bays, func(a, b placedBay) int { return cmp.Compare(a.from, b.from) })
	for _, b := range e.bays {
		e.widest = max(e.widest, b.to-b.from)
		e.bayRoom = append(e.bayRoom, textWidth(tape(e.layout.Bays[b.index].Printed), baySize)+3.5)
	}
	for _, v := range e.walk {
		e.stationRoom = append(e.stationRoom, textWidth(tape(v.station), baySize)*1.08+3.5)
	}
	for i, o := range e.layout.Openings {
		if o.Run == e.run && has(e.layout, o.Start, o.End) {
			from := stationOf(e.run, e.walk, e.layout, o.Start, 0)
			e.gates = append(e.gates, placedGate{i, from, from + o.Span})
		}
	}
	for _, b := range e.layout.Barred {
		if b.Run == e.run {
			e.barred = append(e.barred, b)
		}
	}
	e.legs = e.fence.Legs()
	e.curving = curving(e.fence, e.legs)
	// Without a profile, the ground is what the posts say.
	points := e.fence.Ground
	if len(points) == 0 {
		for _, v := range e.walk {
			points = append(points, site.GroundPoint{Station: v.station, Elevation: e.layout.Posts[v.post].Ground})
		}
	}
	e.ground = site.Run{Ground: points}.Profile()
	e.level = true
	for _, p := range points {
		e.level = e.level && p.Elevation == points[0].Elevation
	}
	for _, v := range e.walk {
		e.level = e.level && e.layout.Posts[v.post].Ground == e.layout.Posts[e.walk[0].post].Ground
	}
	e.height = e.spec.Height
	if e.height <= 0 {
		for _, v := range e.walk {
			e.height = max(e.height, e.layout.Posts[v.post].AboveGrade)
		}
	}
	if e.height <= 0 {
		e.height = measure.Foot
	}
}

// tops are the elevations of the board tops at a bay's two ends.
func (e *elevationSheet) tops(b placedBay) (start, end measure.Length) {
	bay := e.layout.Bays[b.index]
	switch {
	case bay.Top == 0 && bay.MostGap == 0 && bay.LeastGap == 0: // not worked out
		return e.layout.Posts[bay.Start].Ground + e.height, e.layout.Posts[bay.End].Ground + e.height
	case b.stepped:
		return bay.Top, bay.Top
	default:
		return bay.Top, bay.Top + bay.Rise
	}
}

// step is how far the board tops step up from one bay to the next, in 1/16 in.
func (e *elevationSheet) step(a, b placedBay) measure.Length {
	if (a.to - b.from).Abs() > measure.Sixteenth {
		return 0 // a gate or a gap lies between
	}
	_, left := e.tops(a)
	right, _ := e.tops(b)
	return measure.RoundTo(right-left, measure.Sixteenth)
}

// drawable refuses what is larger than a run can be: such figures are no site's,
// and have no place on paper.
func (e *elevationSheet) drawable() error {
	far := false
	reach := func(all ...measure.Length) {
		for _, l := range all {
			far = far || l > measure.MaxLength || l < -measure.MaxLength
		}
	}
	reach(e.height, e.fence.Length())
	for _, v := range e.walk {
		p := e.post(v)
		reach(v.station, p.Ground, p.AboveGrade, p.Width, p.Hole.Diameter, p.Hole.Depth, p.Hole.Gravel, p.Hole.Embedment)
	}
	for _, g := range e.fence.Ground {
		reach(g.Station, g.Elevation)
	}
	for _, b := range e.bays {
		bay := e.layout.Bays[b.index]
		reach(b.from, b.to, bay.Top, bay.Rise)
	}
	for _, g := range e.gates {
		reach(g.from, g.to)
		if p := e.layout.Openings[g.index].Roller; p != nil {
			reach(p.Ground, p.AboveGrade, p.Width, p.Hole.Diameter, p.Hole.Depth, p.Hole.Gravel, p.Hole.Embedment)
		}
	}
	if far {
		var v fault.List
		v.Add("layout", "a length on run %q is over %s, the longest run", e.id, measure.MaxLength.Imperial())
		return v.Err()
	}
	return nil
}
