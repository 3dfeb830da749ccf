package site

import (
	"sort"

	"wattle/internal/measure"
)

// Profile is the ground along one run: linear between its points, level before
// the first and past the last, level at zero without points. A lookup remembers
// where it ended, so walking along a run costs a constant time a step and a
// jump the logarithm of its length; for that a Profile is not safe for use by
// several goroutines at once.
//
//	                      o-------- level
//	              ___----'
//	level ----o--'
//	          1           2         station
type Profile struct {
	points []GroundPoint // stations ascend
	passed int           // how many points the last lookup had passed
}

// Profile of the run's ground. It reads r.Ground in place.
func (r Run) Profile() *Profile { return &Profile{points: r.Ground} }

// GroundAt is the elevation of grade at a station, to the nearest nanometre.
// For many stations of one run a Profile is faster.
func (r Run) GroundAt(station measure.Length) measure.Length { return r.Profile().At(station) }

// At is the elevation of grade at a station, to the nearest nanometre.
func (p *Profile) At(station measure.Length) measure.Length {
	if len(p.points) == 0 {
		return 0
	}
	switch i := p.upTo(station); i {
	case 0:
		return p.points[0].Elevation
	case len(p.points):
		return p.points[i-1].Elevation
	default:
		return along(p.points[i-1], p.points[i], station)
	}
}

// Grade is how far the ground rises (negative: falls) over the plan length from
// one station to a higher one, and whether it is one straight line in between:
// whether no break lies more than a nanometre, which is what elevations are
// rounded to, off that line.
func (p *Profile) Grade(from, to measure.Length) (rise, run measure.Length, uniform bool) {
	hump, dip := p.Departure(from, to)
	return p.At(to) - p.At(from), to - from, hump <= 1 && dip <= 1
}

// Breaks are the profile's points strictly between two stations, ascending,
// whether or not the grade changes there; none where from is not below to. They
// are the profile's own: not to be changed.
func (p *Profile) Breaks(from, to measure.Length) []GroundPoint {
	if from >= to {
		return nil
	}
	first := p.upTo(from)
	last := max(p.upTo(to-1), first) // a profile out of order has no points between
	return p.points[first:last:last]
}

// Departure is how far the ground stands at most above the straight line
// between its elevations at two stations (hump), and how far at most below it
// (dip), both zero or more. A rail racked from one station to the other needs
// that much more clearance, or leaves that much more gap.
//
//	      __
//	o..../..\...........o
//	      hump \    /
//	            `--' dip
func (p *Profile) Departure(from, to measure.Length) (hump, dip measure.Length) {
	breaks := p.Breaks(from, to)
	if len(breaks) == 0 {
		return 0, 0
	}
	a, b := GroundPoint{from, p.At(from)}, GroundPoint{to, p.At(to)}
	for _, x := range breaks {
		above := x.Elevation - along(a, b, x.Station)
		hump, dip = max(hump, above), max(dip, -above)
	}
	return hump, dip
}

// Range is the lowest and the highest elevation of the ground between two
// stations, both included: what a stepped bay stands on.
func (p *Profile) Range(from, to measure.Length) (lowest, highest measure.Length) {
	a, b := p.At(from), p.At(to)
	lowest, highest = min(a, b), max(a, b)
	for _, x := range p.Breaks(from, to) {
		lowest, highest = min(lowest, x.Elevation), max(highest, x.Elevation)
	}
	return lowest, highest
}

// upTo is how many points lie at or before the station. It gallops from where
// the last lookup ended.
func (p *Profile) upTo(station measure.Length) int {
	past := func(i int) bool { return p.points[i].Station > station }
	low, high := p.passed, len(p.points)
	if low > 0 && past(low-1) {
		low, high = 0, low-1
	}
	step := 1
	for ; low+step <= high && !past(low+step-1); step *= 2 {
		low += step
	}
	high = min(high, low+step-1)
	p.passed = low + sort.Search(high-low, func(i int) bool { return past(low + i) })
	return p.passed
}

// along is the elevation at a station of the straight line through two points.
func along(a, b GroundPoint, station measure.Length) measure.Length {
	rise, _ := measure.MulDivRound(int64(b.Elevation-a.Elevation), int64(station-a.Station), int64(b.Station-a.Station))
	return a.Elevation + measure.Length(rise)
}

// GroundAtVertices is the ground of a run from elevations at its vertices, one
// each; a closed run's comes back to the first vertex at its end. Vertices
// without an elevation and elevations without a vertex are left out.
func GroundAtVertices(vertices []measure.Point, closed bool, elevations []measure.Length) []GroundPoint {
	given := min(len(vertices), len(elevations))
	if given == 0 {
		return nil
	}
	points := make([]GroundPoint, 1, given+1)
	points[0].Elevation = elevations[0]
	for i, l := range (Run{Vertices: vertices, Closed: closed}).Legs() {
		switch {
		case i+1 < given:
			points = append(points, GroundPoint{l.End, elevations[i+1]})
		case i+1 == len(vertices): // home again
			points = append(points, GroundPoint{l.End, elevations[0]})
		}
	}
	return points
}
