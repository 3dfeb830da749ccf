package layout

import (
	"cmp"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// turned is how a closed run is planned whose first vertex lies within a
// straight side: a loop was started somewhere, and no post stands there. It is
// planned from its next vertex, all around, with the first one left out; the
// answer and every message have the stations of the request.
//
//	   request                     as planned
//	0 --- by ------+            - --- 0 -------+
//	|              |            |              |
//	+--------------+            +--------------+
type turned struct {
	by     measure.Length // the station of the vertex it is planned from; zero: the run is as it was given
	length measure.Length // of the run as planned
}

// planned is a station of the request as planned. The two sides at the start
// are one straight line as planned, shorter by a hair.
func (t turned) planned(station measure.Length) measure.Length {
	switch {
	case t.by == 0:
		return station
	case station < t.by:
		return station - t.by + t.length
	default:
		return min(station, t.length) - t.by
	}
}

// given is a planned station as the request has it.
func (t turned) given(station measure.Length) measure.Length {
	if station += t.by; t.by > 0 && station >= t.length {
		station -= t.length
	}
	return station
}

// interval is an interval of the request as planned: two where it goes on
// through the vertex from which the run is planned.
func (t turned) interval(from, to measure.Length, add func(from, to measure.Length)) {
	if from < t.by {
		add(t.planned(from), min(to, t.by)-t.by+t.length)
		from = t.by
	}
	if a, b := t.planned(from), t.planned(to); from < to && a < b {
		add(a, b)
	}
}

// turn makes the site as planned of the one that is given: slope parts in
// order, and some closed runs turned. Where the site is not sound, runs that are
// wrong by themselves are left.
func (p *planner) turn(siteSound bool) {
	p.site.Runs, p.turns = slices.Clone(p.given.Runs), zeros(p.turns, len(p.given.Runs))
	for i := range p.site.Runs {
		r := &p.site.Runs[i]
		r.Slopes = slices.Clone(r.Slopes)
		slices.SortFunc(r.Slopes, func(a, b site.SlopePart) int { return cmp.Compare(a.From, b.From) })
		if p.rules < 2 || !startsWithinSide(r) {
			continue
		}
		if alone := new(fault.List); !siteSound {
			if r.Validate(alone); alone.Len() > 0 {
				continue
			}
		}
		*r, p.turns[i] = turnRun(*r)
	}
}

// startsWithinSide reports a closed run whose first vertex lies within 1/8 in of
// the straight line between its neighbours, and where neither an arc nor a pin
// asks for a post.
func startsWithinSide(r *site.Run) bool {
	n := len(r.Vertices)
	if !r.Closed || n < 4 || len(r.Chords) > 0 && r.Chords[0] == 0 {
		return false
	}
	side := site.Leg{From: r.Vertices[n-1], To: r.Vertices[1]}
	side.End = side.From.DistanceTo(side.To)
	at := r.Vertices[0]
	if station, within := foot(&side, at); !within || side.At(station).DistanceTo(at) > together {
		return false
	}
	length := r.Length()
	return !slices.ContainsFunc(r.Pins, func(pin site.Pin) bool { return min(pin.Station, length-pin.Station) <= together })
}

// turnRun is a run as planned, but for what noHoles and cautionNeighbours
// read from the request.
func turnRun(r site.Run) (site.Run, turned) {
	t := turned{by: r.Vertices[0].DistanceTo(r.Vertices[1])}
	r.Vertices = r.Vertices[1:]
	t.length = r.Length()
	r.Chords = slices.Clone(r.Chords)
	for i := range r.Chords {
		r.Chords[i]--
	}
	r.Gates, r.Pins = slices.Clone(r.Gates), slices.Clone(r.Pins)
	for i := range r.Gates {
		r.Gates[i].Station = t.planned(r.Gates[i].Station)
	}
	for i := range r.Pins {
		r.Pins[i].Station = t.planned(r.Pins[i].Station)
	}
	slopes := r.Slopes
	r.Slopes = nil
	for _, s := range slopes {
		t.interval(s.From, s.To, func(from, to measure.Length) {
			r.Slopes = append(r.Slopes, site.SlopePart{From: from, To: to, Stepped: s.Stepped})
		})
	}
	r.Slopes = t.joinAtStart(r.Slopes)
	r.Ground = t.ground(r)
	return r, t
}

// joinAtStart makes one of two parts that meet where the request starts.
func (t turned) joinAtStart(slopes []site.SlopePart) []site.SlopePart {
	slices.SortFunc(slopes, func(a, b site.SlopePart) int { return cmp.Compare(a.From, b.From) })
	for i := 1; i < len(slopes); i++ {
		if a, b := &slopes[i-1], slopes[i]; a.To == b.From && b.From == t.planned(0) && a.Stepped == b.Stepped {
			a.To = b.To
			return slices.Delete(slopes, i, i+1)
		}
	}
	return slopes
}

// ground is the run's ground as planned, known at both ends. A point that lies
// at the vertex but for a micrometre counts as there, since the grade of so
// short a piece would be all rounding.
func (t turned) ground(r site.Run) []site.GroundPoint {
	if len(r.Ground) == 0 {
		return nil
	}
	start := r.GroundAt(t.by)
	points := make([]site.GroundPoint, 1, len(r.Ground)+2)
	points[0].Elevation = start
	add := func(station, elevation measure.Length) {
		if station > points[len(points)-1].Station+hair && station < t.length-hair {
			points = append(points, site.GroundPoint{Station: station, Elevation: elevation})
		}
	}
	for _, g := range r.Ground {
		if (g.Station - t.by).Abs() <= hair {
			points[0].Elevation, start = g.Elevation, g.Elevation
		}
	}
	at, _ := slices.BinarySearchFunc(r.Ground, t.by, func(g site.GroundPoint, by measure.Length) int { return cmp.Compare(g.Station, by) })
	for _, g := range r.Ground[at:] {
		add(t.planned(g.Station), g.Elevation)
	}
	for _, g := range r.Ground[:at] {
		add(t.planned(g.Station), g.Elevation)
	}
	return append(points, site.GroundPoint{Station: t.length, Elevation: start})
}

// at is a planned station of a run in words, as the request has it.
func (p *planner) at(run int, station measure.Length) string {
	return p.turns[run].given(station).Imperial()
}

// turnBack gives the answer the stations of the request.
func (p *planner) turnBack() {
	if !slices.ContainsFunc(p.turns, func(t turned) bool { return t.by > 0 }) {
		return
	}
	for i := range p.out.Posts {
		visits := p.out.Posts[i].Visits
		for j := range visits {
			visits[j].Station = p.turns[visits[j].Run].given(visits[j].Station)
		}
		slices.SortFunc(visits, func(a, b Visit) int {
			return cmp.Or(cmp.Compare(a.Run, b.Run), cmp.Compare(a.Station, b.Station))
		})
	}
	for i := range p.out.Stretches {
		st := &p.out.Stretches[i]
		length := st.Length()
		st.Start = p.turns[st.Run].given(st.Start)
		st.End = st.Start + length
	}
}
