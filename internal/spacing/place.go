package spacing

import (
	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Grain is how far apart a Reach that is not Constant is read for the least
// departure.
const Grain = measure.Inch / 4

// Place is the inner posts' stations, ascending, of the best row: fewest bays,
// then the least sum of departures from the targets for that number, then the
// lowest station at the first post that differs. A single bay has none.
//
// With Constant limits that is exact. With others the number of bays is exact
// and every bay keeps the true Reach, but the departure is the least only to a
// tolerance: no row departs less that would still keep its limits were each
// inner bay's read up to Grain before its post. Where no row at all has that
// much to spare, the row given is one that keeps every limit, each post in turn
// as near its target as those before it let it.
//
// Errors: *Blocked where there is no row; fault.Invalid for a request that is
// wrong in itself, or a Reach that falls; fault.Exhausted past MaxBays,
// MaxBarred or MaxPieces.
func Place(r Request) ([]measure.Length, error) { return place(r, Grain) }

func place(r Request, grain measure.Length) ([]measure.Length, error) {
	s, err := prepare(r)
	if err != nil {
		return nil, err
	}
	layers, err := s.layers()
	if n := len(layers); err != nil || n == 1 {
		return nil, err
	}
	v := &fault.List{}
	if !v.Require(r.Targets != nil, "targets", "must be given") {
		return nil, v.Err()
	}
	targets := r.Targets(len(layers))
	if !v.Require(len(targets) == len(layers)-1, "targets",
		"%d bays have %d inner posts, got targets for %d", len(layers), len(layers)-1, len(targets)) {
		return nil, v.Err()
	}
	if s.keeps(targets) {
		return append([]measure.Length(nil), targets...), nil
	}
	for _, in := range s.inners(grain) {
		row := row{stretch: s, layers: layers, inner: in.at}
		if !row.open() {
			continue
		}
		row.narrow(targets)
		places, err := row.best(in, targets)
		if err != nil {
			return nil, err
		}
		if places != nil && s.keeps(places) {
			return places, nil
		}
	}
	row := row{stretch: s, layers: layers, inner: func(x measure.Length) measure.Length { return s.reach(x, false, false) }}
	if row.open() {
		if places := row.nearest(targets); s.keeps(places) {
			return places, nil
		}
	}
	v.Add("limits", "must not fall from one station to the next, nor be under the least width of a bay at some stations and over it at others")
	return nil, v.Err()
}

// inners are reaches to search with, the better first: the true one where it
// is Constant, else lower bounds of it. The lines of stairs are likely to pass
// a smooth Reach by no more than what rounding does to it, or not at all.
func (s *stretch) inners(grain measure.Length) []inner {
	if c, ok := s.limits.(Constant); ok {
		return []inner{steady{min(max(c.Inner, 0), far)}}
	}
	return []inner{
		stairs{s, grain, 0},
		stairs{s, grain, measure.Millimetre / 1000},
		stairs{s, grain, 4 * far}, // steps alone
	}
}

// best is the row of least departure in the windows, the lowest of several;
// nil where the windows hold none.
func (r *row) best(in inner, targets []measure.Length) ([]measure.Length, error) {
	n := len(r.layers)
	costs := make([]curve, n)
	var own, room curve
	var pieces int
	var ramps []ramp
	var rest sliding
	for i := n - 1; i > 0; i-- {
		w := r.windows[i]
		if len(w) == 0 {
			return nil, nil // the reach broke its promise
		}
		// A target outside the window is taken at its edge, which takes the
		// same from every row. So no cost passes the sum of the windows'
		// widths, which lie one above the other in the stretch.
		t := min(max(targets[i-1], w[0].lo), w[len(w)-1].hi)
		own = own[:0]
		rest.start(costs[min(i+1, n-1)], r.least)
		for _, p := range w {
			if i == n-1 {
				own = own.drawDeparture(piece{span: p}, t)
				continue
			}
			ramps = in.ramps(ramps[:0], p)
			for _, up := range ramps {
				own = rest.over(up, t, own)
			}
		}
		if pieces += len(own); pieces > MaxPieces {
			return nil, exhausted(r.stretch)
		}
		if cap(room)-len(room) < len(own) {
			room = make(curve, 0, max(len(own), 1024))
		}
		had := len(room)
		room = append(room, own...)
		costs[i] = room[had:]
	}
	places := make([]measure.Length, 0, n-1)
	before := r.start
	for i := 1; i < n; i++ {
		x, ok := costs[i].lowest(before+r.least, r.bay(i-1, before))
		if !ok {
			return nil, nil
		}
		places = append(places, x)
		before = x
	}
	return places, nil
}

func exhausted(s *stretch) error {
	return fault.New(fault.Exhausted, "SPACING_TOO_LARGE",
		"the stretch of %v from %v is too long, or its barred intervals too many, to find the least departure", s.end-s.start, s.start)
}

// nearest is a row in the windows, each post in turn as near its target as
// those before it let it.
func (r *row) nearest(targets []measure.Length) []measure.Length {
	places := make([]measure.Length, 0, len(targets))
	before := r.start
	for i, t := range targets {
		lo, hi := before+r.least, r.bay(i, before)
		t = min(max(t, lo), hi)
		x, below := floor(r.windows[i+1], t)
		below = below && x >= lo
		if up, ok := ceil(r.windows[i+1], t); ok && up <= hi && (!below || up-t < t-x) {
			x = up
		}
		places = append(places, x)
		before = x
	}
	return places
}
