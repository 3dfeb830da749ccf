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
// MaxBarred, MaxPieces or MaxKept.
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
