package spacing

import "wattle/internal/measure"

// row is the search for the best row of len(layers) bays, its inner bays held
// to a reach that is the stretch's own or under it.
type row struct {
	*stretch
	layers [][]span
	inner  func(measure.Length) measure.Length
	// windows are, for each post from start to end, the places at which it
	// stands in some row that keeps every rule.
	windows [][]span
}

// bay is the reach of bay i.
func (r *row) bay(i int, x measure.Length) measure.Length {
	if first, last := i == 0, i == len(r.layers)-1; first || last {
		return r.reach(x, first, last)
	}
	return r.inner(x)
}

// open finds the windows: back from the end, then forth from the start, since
// the layers know the stretch's own reach only. It reports false where there
// is no row.
func (r *row) open() bool {
	n := len(r.layers)
	r.windows = make([][]span, n+1)
	r.windows[n] = []span{{r.end, r.end}}
	var all, reached []span
	for i := n - 1; i >= 0; i-- {
		reached = reached[:0]
		layer := r.layers[i]
		lo, hi := layer[0].lo, layer[len(layer)-1].hi
		for _, p := range r.windows[i+1] {
			reached = join(reached, span{r.from(i, lo, hi, p.lo), p.hi - r.least})
		}
		had := len(all)
		all = meet(all, layer, reached)
		r.windows[i] = all[had:len(all):len(all)]
		if had == len(all) {
			return false
		}
	}
	for i := range n {
		reached = reached[:0]
		for _, p := range r.windows[i] {
			reached = join(reached, span{p.lo + r.least, r.bay(i, p.hi)})
		}
		had := len(all)
		all = meet(all, r.windows[i+1], reached)
		r.windows[i+1] = all[had:len(all):len(all)]
		if had == len(all) {
			return false
		}
	}
	return true
}

// from is the lowest place from lo to hi from which bay i reaches y.
func (r *row) from(i int, lo, hi, y measure.Length) measure.Length {
	return lowest(lo, hi, y, func(x measure.Length) measure.Length { return r.bay(i, x) })
}

// narrow cuts the windows down to what lies between two rows: the highest with
// no post above its target, and the lowest with none below (a post whose
// window is all on the other side counts as at its target at the near edge).
// No best row leaves that strip: where it did, the nearer of the two posts
// would make a better row. Away from what disturbs it the strip is the targets.
func (r *row) narrow(targets []measure.Length) {
	low, high := r.highestUnder(targets), r.lowestOver(targets)
	var all []span
	for i := 1; i < len(r.layers); i++ {
		had := len(all)
		all = meet(all, r.windows[i], []span{{low[i], high[i]}})
		r.windows[i] = all[had:len(all):len(all)]
	}
}

// highestUnder is the highest row with no post above its target. Once every
// post is within reach of the one before, those too near to the next step back.
// They stay within what reaches it: some place in the window does, no higher.
func (r *row) highestUnder(targets []measure.Length) []measure.Length {
	n := len(r.layers)
	y := make([]measure.Length, n+1)
	y[0], y[n] = r.start, r.end
	for i := 1; i < n; i++ {
		w := r.windows[i]
		y[i], _ = floor(w, min(max(targets[i-1], w[0].lo), r.bay(i-1, y[i-1])))
	}
	for i := n - 1; i > 0; i-- {
		if top := y[i+1] - r.least; y[i] > top {
			y[i], _ = floor(r.windows[i], top)
		}
	}
	return y
}

// lowestOver is the lowest row with no post below its target, likewise.
func (r *row) lowestOver(targets []measure.Length) []measure.Length {
	n := len(r.layers)
	y := make([]measure.Length, n+1)
	y[0], y[n] = r.start, r.end
	for i := n - 1; i > 0; i-- {
		w := r.windows[i]
		top := w[len(w)-1].hi
		y[i], _ = ceil(w, min(targets[i-1], top))
		if r.bay(i, y[i]) < y[i+1] {
			y[i], _ = ceil(w, r.from(i, y[i], top, y[i+1]))
		}
	}
	for i := 1; i < n; i++ {
		if low := y[i-1] + r.least; y[i] < low {
			y[i], _ = ceil(r.windows[i], low)
		}
	}
	return y
}
