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
	low, ok := r.highestUnder(targets)
	if !ok {
		return
	}
	high, ok := r.lowestOver(targets)
	if !ok {
		return
	}
	var all []span
	for i := 1; i < len(r.layers); i++ {
		had := len(all)
		all = meet(all, r.windows[i], []span{{low[i], high[i]}})
		r.windows[i] = all[had:len(all):len(all)]
	}
}

// rounds is how often narrow goes up and down a row before it lets be. Twice
// is usual; more is needed only where Least and a limit take turns.
const rounds = 32

func (r *row) highestUnder(targets []measure.Length) ([]measure.Length, bool) {
	n := len(r.layers)
	y := make([]measure.Length, n+1)
	y[0], y[n] = r.start, r.end
	for i := 1; i < n; i++ {
		y[i], _ = floor(r.windows[i], max(targets[i-1], r.windows[i][0].lo))
	}
	for range rounds {
		ok := true
		for i := 1; i < n && ok; i++ {
			y[i], ok = floor(r.windows[i], min(y[i], r.bay(i-1, y[i-1])))
		}
		settled := true
		for i := n - 1; i > 0 && ok; i-- {
			if top := y[i+1] - r.least; y[i] > top {
				y[i], ok = floor(r.windows[i], top)
				settled = false
			}
		}
		if settled || !ok {
			return y, ok
		}
	}
	return nil, false
}

func (r *row) lowestOver(targets []measure.Length) ([]measure.Length, bool) {
	n := len(r.layers)
	y := make([]measure.Length, n+1)
	y[0], y[n] = r.start, r.end
	for i := 1; i < n; i++ {
		w := r.windows[i]
		y[i], _ = ceil(w, min(targets[i-1], w[len(w)-1].hi))
	}
	for range rounds {
		ok := true
		for i := n - 1; i > 0 && ok; i-- {
			if w := r.windows[i]; r.bay(i, y[i]) < y[i+1] {
				y[i], ok = ceil(w, r.from(i, y[i], w[len(w)-1].hi, y[i+1]))
			}
		}
		settled := true
		for i := 1; i < n && ok; i++ {
			if low := y[i-1] + r.least; y[i] < low {
				y[i], ok = ceil(r.windows[i], low)
				settled = false
			}
		}
		if settled || !ok {
			return y, ok
		}
	}
	return nil, false
}
