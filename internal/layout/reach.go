package layout

import (
	"sort"

	"wattle/internal/measure"
)

// hair is a micrometre: the grade of so short a piece would be all rounding.
const hair = measure.Millimetre / 1000

// cut finds the pieces of a stretch whose grade changes.
func (r *bayRule) cut(from, to measure.Length) {
	low := r.profile.At(from)
	add := func(station, elevation measure.Length) {
		rise, run := elevation-low, station-from
		r.pieces = append(r.pieces, piece{station, rise, run, max(r.on(rise, run).inner, 0)})
		from, low = station, elevation
	}
	breaks := r.profile.Breaks(from, to)
	r.pieces = make([]piece, 0, len(breaks)+1)
	for _, b := range breaks {
		if b.Station-from > hair && to-b.Station > hair {
			add(b.Station, b.Elevation)
		}
	}
	add(to, r.profile.At(to))
}

// ground is the elevation of grade on the stretch or past its end.
func (r *bayRule) ground(station measure.Length) measure.Length {
	if station <= r.end {
		return r.profile.At(station)
	}
	last := r.pieces[len(r.pieces)-1]
	rise, _ := measure.MulDivRound(int64(station-r.end), int64(last.rise), int64(last.run))
	return r.profile.At(r.end) + measure.Length(rise)
}

// pieceAt is the piece that begins at or before a station of the stretch. Most
// often it is the one asked for last, or a neighbour.
func (r *bayRule) pieceAt(x measure.Length) piece {
	begins := func(i int) bool { return i == 0 || r.pieces[i-1].to <= x }
	switch n := len(r.pieces); {
	case begins(r.at) && (r.at+1 == n || !begins(r.at+1)):
	case begins(r.at) && (r.at+2 == n || !begins(r.at+2)):
		r.at++
	default:
		r.at = sort.Search(n-1, func(i int) bool { return r.pieces[i].to > x })
	}
	return r.pieces[r.at]
}

// flat is what a length along a slope is in plan, rounded down.
func flat(l, run, along measure.Length) measure.Length {
	plan, _ := measure.MulDivFloor(int64(l), int64(run), int64(along))
	return measure.Length(plan)
}

// plumbCut is what the plumb ends take of a stick, rounded up.
func (r bayRule) plumbCut(rise, run measure.Length) measure.Length {
	cut, _ := measure.MulDivFloor(-int64(r.plumb), int64(rise.Abs()), int64(run))
	return measure.Length(-cut)
}

// rail is the cut length of a rail over a bay of the given width and rise that
// runs past its posts, in plan, by past.
func (r bayRule) rail(width, rise, past measure.Length) measure.Length {
	if rise == 0 {
		return width + past
	}
	along, _ := measure.MulDivRound(int64(width+past), int64(measure.Hypot(width, rise)), int64(width))
	return measure.Length(along) + r.plumbCut(rise, width)
}

// Reach implements spacing.Limits where the grade changes within the stretch.
// No grade is steeper than 1 in 1 (site.Validate), so a rail from a given post
// only gets longer as the next post moves on, but for what it laps and its
// plumb cuts, which count for little. Past the stretch's end the ground counts
// as going on at its last grade: what really lies there limits no bay.
func (r *bayRule) Reach(x measure.Length, first, last bool) (reach measure.Length) {
	if !first && !last {
		if on := r.pieceAt(x); x+on.width <= on.to {
			return x + on.width
		}
	}
	if inner := !first && !last; inner {
		for _, known := range r.told {
			if known.x == x && known.reach > 0 {
				return known.reach
			}
		}
		defer func() { r.told = [2]told{{x, reach}, r.told[0]} }()
	}
	past := 2 * r.line
	if first {
		past += r.before - r.line
	}
	if last {
		past += r.after - r.line
	}
	ground := r.ground(x)
	// over is how far a bay would pass what it may be, along the slope.
	over := func(width measure.Length) measure.Length {
		rise := r.ground(x+width) - ground
		over := r.rail(width, rise, past) - r.RailStock
		if r.alongGrade {
			over = max(over, measure.Hypot(width, rise)-r.MaxBay)
		}
		return over
	}
	return x + widest(min(r.MaxBay, r.RailStock-past), over)
}

// widest is the greatest width of 1 to most that is not over, 0 where there is
// none; over grows with the width. It follows the secant, which on one grade
// leads there at once, and halves what is left where that takes long.
func widest(most measure.Length, over func(measure.Length) measure.Length) measure.Length {
	if most < 1 {
		return 0
	}
	by := over(most)
	if by <= 0 {
		return most
	}
	low, high := measure.Length(0), most // over at high, not at low
	last, lastBy, at := most, by, most-by
	for tries := 0; high-low > 1; tries++ {
		if at <= low || at >= high {
			at = low + (high-low)/2
		}
		if tries > 8 {
			at = low + (high-low)/2
		}
		if by = over(at); by > 0 {
			high = at
		} else {
			low = at
		}
		next := low + (high-low)/2
		if step, ok := measure.MulDivRound(int64(by), int64(at-last), int64(by-lastBy)); ok {
			next = at - measure.Length(step)
		}
		if next == at && by > 0 {
			next--
		} else if next == at {
			next++
		}
		last, lastBy, at = at, by, next
	}
	return low
}
