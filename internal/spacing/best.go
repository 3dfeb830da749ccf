package spacing

import (
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// best is the row of least departure in the windows, the lowest of several;
// nil where the windows hold none.
func (r *row) best(in inner, targets []measure.Length) ([]measure.Length, error) {
	n := len(r.layers)
	choices := make([]choice, n)
	s := search{row: r, in: in}
	kept := 0
	for i := n - 1; i > 0; i-- {
		w := r.windows[i]
		if len(w) == 0 {
			return nil, nil // the reach broke its promise
		}
		// A target outside the window is taken at its edge, which takes the
		// same from every row. So no cost passes the sum of the windows'
		// widths, which lie one above the other in the stretch.
		s.post(i, min(max(targets[i-1], w[0].lo), w[len(w)-1].hi))
		if r.clear(i - 1) {
			choices[i].lows = s.own.lows()
		} else {
			choices[i].curve = slices.Clone(s.own)
		}
		r.pieces -= len(s.own)
		kept += len(choices[i].lows) + len(choices[i].curve)
		if r.pieces < 0 || kept > MaxKept {
			return nil, fault.New(fault.Exhausted, "SPACING_TOO_LARGE",
				"the stretch of %v from %v is too long, or its barred intervals too many, to find the least departure", r.end-r.start, r.start)
		}
	}
	places := make([]measure.Length, 0, n-1)
	before := r.start
	for i := 1; i < n; i++ {
		x, ok := choices[i].lowest(before+r.least, r.bay(i-1, before))
		if !ok {
			return nil, nil
		}
		places = append(places, x)
		before = x
	}
	return places, nil
}

// clear says that bay i cannot be under the least width, wherever in their
// windows its posts stand.
func (r *row) clear(i int) bool {
	w, next := r.windows[i], r.windows[i+1]
	return len(w) > 0 && len(next) > 0 && w[len(w)-1].hi+r.least <= next[0].lo
}

// choice is what is kept of a post's curve to choose its place by once the
// post before stands. Where the bay between them is clear that is the places
// of the new lows, which take little room; else it is the curve.
type choice struct {
	lows  []span
	curve curve
}

// lowest is the lowest place from lo to hi at which the curve is least.
func (c choice) lowest(lo, hi measure.Length) (measure.Length, bool) {
	if c.lows != nil {
		return floor(c.lows, hi)
	}
	return c.curve.lowest(lo, hi)
}

// search goes back from the end, post by post. Its curves are of the post it is
// at and those after; it keeps only their new lows where the bay before the
// post is clear.
type search struct {
	*row
	in    inner
	own   curve // of the post it is at
	rest  curve // of the next post
	room  curve
	ramps []ramp
	slide sliding
}

// post makes own the curve of post i, whose target is t.
func (s *search) post(i int, t measure.Length) {
	s.rest, s.own = s.own, s.rest[:0]
	last := i == len(s.layers)-1
	before, after := s.clear(i-1), s.clear(i)
	rise := rising{of: s.rest}
	s.slide.start(s.rest, s.least)
	for _, p := range s.windows[i] {
		if last {
			s.own = s.own.drawDeparture(piece{span: p}, t)
			continue
		}
		s.ramps = s.in.ramps(s.ramps[:0], p)
		for _, up := range s.ramps {
			if before && after {
				s.own = rise.over(up, t, s.own)
			} else {
				s.own = s.slide.over(up, t, s.own)
			}
		}
	}
	if before && (last || !after) {
		s.room = s.room[:0]
		for _, p := range s.own {
			s.room = s.room.drawLow(p)
		}
		s.own, s.room = s.room, s.own
	}
}
