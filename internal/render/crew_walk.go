package render

import (
	"cmp"
	"slices"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// visited is a post on the walk along one run.
type visited struct {
	post    int
	station measure.Length
}

// walk is, by run, the posts in the order of their stations. A post that a run
// passes twice is there twice.
func walk(st site.Site, l *layout.Layout) [][]visited {
	runs := make([][]visited, len(st.Runs))
	for i, p := range l.Posts {
		for _, v := range p.Visits {
			if v.Run >= 0 && v.Run < len(runs) {
				runs[v.Run] = append(runs[v.Run], visited{i, v.Station})
			}
		}
	}
	for _, w := range runs {
		slices.SortStableFunc(w, func(a, b visited) int { return cmp.Compare(a.station, b.station) })
	}
	return runs
}

// nearest is the index in the walk of a run of its visit to a post that lies
// nearest to a station, -1 where the run does not come by.
func nearest(run int, w []visited, l *layout.Layout, post int, station measure.Length) int {
	best := -1
	if !has(l, post) {
		return best
	}
	for _, v := range l.Posts[post].Visits {
		if v.Run != run {
			continue
		}
		i, _ := slices.BinarySearchFunc(w, v.Station, func(v visited, s measure.Length) int { return cmp.Compare(v.station, s) })
		for i < len(w) && w[i].post != post {
			i++ // two posts at one station
		}
		if i < len(w) && (best < 0 || (w[i].station-station).Abs() < (w[best].station-station).Abs()) {
			best = i
		}
	}
	return best
}

// stationOf is where the walk comes by a post, at the visit nearest to a
// station; the station itself where it does not.
func stationOf(run int, w []visited, l *layout.Layout, post int, station measure.Length) measure.Length {
	if i := nearest(run, w, l, post, station); i >= 0 {
		return w[i].station
	}
	return station
}

// has reports whether the layout has posts of these numbers.
func has(l *layout.Layout, posts ...int) bool {
	for _, p := range posts {
		if p < 0 || p >= len(l.Posts) {
			return false
		}
	}
	return true
}

// placedBay is a bay with its stations.
type placedBay struct {
	index    int
	from, to measure.Length
	stepped  bool
}

// baysOf are the bays of a run with their stations, in its order.
func baysOf(run int, l *layout.Layout) []placedBay {
	var bays []placedBay
	for _, s := range l.Stretches {
		if s.Run != run {
			continue
		}
		from := s.Start
		for i := max(s.FirstBay, 0); i < min(s.FirstBay+s.Bays, len(l.Bays)); i++ {
			bays = append(bays, placedBay{i, from, from + l.Bays[i].Width, s.Stepped})
			from += l.Bays[i].Width
		}
	}
	return bays
}

// baysBefore is, by visit, the bay that ends there, or -1.
func baysBefore(run int, w []visited, l *layout.Layout) []int {
	before := make([]int, len(w))
	for i := range before {
		before[i] = -1
	}
	for _, b := range baysOf(run, l) {
		i := nearest(run, w, l, l.Bays[b.index].End, b.to)
		if i >= 0 && w[i].station > b.from {
			before[i] = b.index
		}
	}
	return before
}

// fixedOffsets are the distances along the run from a post to the fixed posts around
// it, as printed.
type fixedOffsets struct{ back, on string }

// fixedBeside is, by visit, how far it is to the fixed post before and after;
// a closed run ends at the fixed post it began at, an open one at station 0 for
// end. Both are measured on one tape: back and on add up to the printed distance
// between the fixed posts, and back to the printed bays in between.
func fixedBeside(w []visited, l *layout.Layout, end measure.Length, m Measures) []fixedOffsets {
	all := make([]fixedOffsets, len(w))
	last := -1
	for i, v := range w {
		if last >= 0 {
			all[i].back = m.tape(v.station - w[last].station)
		}
		if l.Posts[v.post].Role == layout.Line {
			continue
		}
		if last >= 0 {
			onTo(all[last:i], w[last:i], v.station, m)
		}
		last = i
	}
	if last >= 0 && end > w[last].station {
		onTo(all[last:], w[last:], end, m)
	}
	return all
}

// onTo fills in how far it is to the fixed post at end for the first of the
// visits, which is fixed, and the line posts after it.
func onTo(all []fixedOffsets, w []visited, end measure.Length, m Measures) {
	whole := measure.RoundTo(end-w[0].station, measure.Sixteenth)
	for i := range w {
		all[i].on = m.tape(whole - measure.RoundTo(w[i].station-w[0].station, measure.Sixteenth))
	}
}
