package site

import (
	"cmp"
	"iter"
	"slices"

	"wattle/internal/measure"
)

// Barred is where on a run no hole may be dug: the run's own keep-outs as they
// are given, and for each obstacle the intervals of stations nearer than its
// clearance to its path, under its id. Intervals of one obstacle that overlap
// or touch are one; all are sorted by where they begin, those of the run first.
//
//	          | gas
//	   +------+------+
//	   |  cl. | cl.  |
//	===[======|======]=== run
//	   |  barred     |
//
// An obstacle's interval misses no station that is too near: its ends are exact
// or rounded outward, by less than two nanometres. It ends where the run does;
// one that reaches over the start of a closed run comes as two, at either end
// of the stations.
//
// It is the centre line that is measured; see NoHole for the holes of posts. An
// index that is no run has nothing.
func (s Site) Barred(run int) []KeepOut {
	if run < 0 || run >= len(s.Runs) {
		return nil
	}
	barred := slices.Clone(s.Runs[run].KeepOuts)
	legs := s.Runs[run].Legs()
	for _, o := range s.Obstacles {
		barred = append(barred, o.bars(legs)...)
	}
	slices.SortStableFunc(barred, func(a, b KeepOut) int { return cmp.Compare(a.From, b.From) })
	return barred
}

// NoHole is where on a run the centre of a post may not stand, between the ends
// of each interval, so that no part of its hole, of the given radius, is where
// none may be dug. A hole that only touches is allowed. It is Barred, widened by
// the radius along the run, and for obstacles to the sides too, on past an open
// run's ends.
//
//	   o gas
//	    \   ( hole )
//	     \     |
//	==[======]=x======= run
func (s Site) NoHole(run int, radius measure.Length) []KeepOut {
	if run < 0 || run >= len(s.Runs) {
		return nil
	}
	r := s.Runs[run]
	var barred []KeepOut
	for _, k := range r.KeepOuts {
		barred = append(barred, KeepOut{k.ID, k.From - radius, k.To + radius})
	}
	legs := r.Legs()
	if n := len(legs); n > 0 && !r.Closed {
		first, last := &legs[0], &legs[n-1]
		from, to := first.At(first.Start-radius), last.At(last.End+radius)
		first.From, first.Start = from, first.Start-radius
		last.To, last.End = to, last.End+radius
	}
	for _, o := range s.Obstacles {
		o.Clearance += radius
		barred = append(barred, o.bars(legs)...)
	}
	slices.SortStableFunc(barred, func(a, b KeepOut) int { return cmp.Compare(a.From, b.From) })
	return barred
}

// bars are the intervals of a run's stations that the obstacle bars, merged and
// ascending.
func (o Obstacle) bars(legs []Leg) []KeepOut {
	var all []KeepOut
	for i, j := range o.near(legs) {
		t := trackOf(legs[i])
		spans := []span{t.nearVertex(o.Path[j], o.Clearance)}
		if j+1 < len(o.Path) {
			spans = append(spans, t.besideSide(o.Path[j], o.Path[j+1], o.Clearance))
		}
		for _, s := range spans {
			if s.from < s.to {
				all = append(all, KeepOut{o.ID, legs[i].Start + s.from, legs[i].Start + s.to})
			}
		}
	}
	slices.SortFunc(all, func(a, b KeepOut) int { return cmp.Compare(a.From, b.From) })
	merged := all[:0]
	for _, k := range all {
		if last := len(merged) - 1; last >= 0 && k.From <= merged[last].To {
			merged[last].To = max(merged[last].To, k.To)
		} else {
			merged = append(merged, k)
		}
	}
	return merged
}

// near are the pairs of a leg and a vertex of the path, with the side that
// begins at it, whose boxes come as near as the clearance.
func (o Obstacle) near(legs []Leg) iter.Seq2[int, int] {
	return func(yield func(int, int) bool) {
		if o.Clearance <= 0 {
			return
		}
		whole := boxAround(o.Path)
		var sides []box // most obstacles are near no leg of most runs
		for i, l := range legs {
			reach := boxAround([]measure.Point{l.From, l.To})
			if !reach.within(whole, o.Clearance) {
				continue
			}
			for j := len(sides); j < len(o.Path); j++ {
				sides = append(sides, boxAround(o.Path[j:min(j+2, len(o.Path))]))
			}
			for j, side := range sides {
				if reach.within(side, o.Clearance) && !yield(i, j) {
					return
				}
			}
		}
	}
}

// box is a rectangle along the axes.
type box struct{ low, high measure.Point }

// boxAround is the box around points; around none it is the origin.
func boxAround(points []measure.Point) (b box) {
	for i, p := range points {
		if i == 0 {
			b = box{p, p}
		}
		b.low = measure.Point{East: min(b.low.East, p.East), North: min(b.low.North, p.North)}
		b.high = measure.Point{East: max(b.high.East, p.East), North: max(b.high.North, p.North)}
	}
	return b
}

// within: the boxes come nearer than a clearance along both axes.
func (b box) within(c box, clearance measure.Length) bool {
	return b.low.East-c.high.East < clearance && c.low.East-b.high.East < clearance &&
		b.low.North-c.high.North < clearance && c.low.North-b.high.North < clearance
}
