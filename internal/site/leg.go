package site

import (
	"sort"

	"wattle/internal/measure"
)

// Leg is one straight side of a run, between two neighbouring vertices.
type Leg struct {
	From, To measure.Point
	// Start and End are the stations of From and To.
	Start, End measure.Length
}

// Length of the leg in plan.
func (l Leg) Length() measure.Length { return l.End - l.Start }

// At is the point of the leg at a station of its run; outside the leg's own
// stations it lies on the leg's prolongation. A leg of no length is its From.
func (l Leg) At(station measure.Length) measure.Point {
	switch station {
	case l.Start:
		return l.From
	case l.End:
		return l.To
	}
	return measure.Lerp(l.From, l.To, station-l.Start, l.Length())
}

// Legs are the run's straight sides in walking order; a closed run's last leg
// leads back to the first vertex. Each leg is rounded to a nanometre and
// stations are the sums, so legs add up to the run exactly. A run of fewer than
// two vertices has none.
func (r Run) Legs() []Leg {
	n := len(r.Vertices)
	if n < 2 {
		return nil
	}
	legs := make([]Leg, 0, n)
	var station measure.Length
	for i, from := range r.Vertices {
		if i == n-1 && !r.Closed {
			break
		}
		to := r.Vertices[(i+1)%n]
		end := station + from.DistanceTo(to)
		legs = append(legs, Leg{From: from, To: to, Start: station, End: end})
		station = end
	}
	return legs
}

// LegAt is the index of the leg that a station lies on: at a vertex the leg
// that begins there, before the first leg 0, past the last the last. legs must
// not be empty.
func LegAt(legs []Leg, station measure.Length) int {
	after := sort.Search(len(legs), func(i int) bool { return legs[i].Start > station })
	return max(after-1, 0)
}

// Length of the run in plan, the closing leg of a closed run included.
func (r Run) Length() measure.Length {
	legs := r.Legs()
	if len(legs) == 0 {
		return 0
	}
	return legs[len(legs)-1].End
}

// PointAt is where a station of the run is, in plan; stations before the start
// and past the end are taken as the start and the end. A run without vertices
// has only the origin.
func (r Run) PointAt(station measure.Length) measure.Point {
	legs := r.Legs()
	if len(legs) == 0 {
		if len(r.Vertices) > 0 {
			return r.Vertices[0]
		}
		return measure.Point{}
	}
	station = min(max(station, 0), legs[len(legs)-1].End)
	return legs[LegAt(legs, station)].At(station)
}
