package layout

import (
	"sort"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// mostAlong is the most bays whose places are sought along the ground: a stop
// that protects the machine.
const mostAlong = 20_000

// ideal are the stations at which the method has the line posts of a share. On a
// changing grade they are those of level ground, but for two that the trade
// measures on the slope: full panels between posts, of which the remainder
// method cuts one only, and even bays along the grade [AS-1].
func (r *bayRule) ideal(st Stretch, s share, floor measure.Length) []measure.Length {
	switch {
	case len(r.pieces) == 0 || s.n > mostAlong:
	case r.Hang == spec.Between && s.method() == spec.Remainder:
		if at := r.fullBays(st, s); at != nil && r.leaves(st, s, at) >= floor {
			return at
		}
	case r.Hang == spec.Free && r.alongGrade && s.method() == spec.Even:
		return r.evenAlong(st, s.n)
	}
	return stations(st.Start, s.widths(nil))
}

// fullBays are the stations between bays that are each at their own limit but
// for the last, or where the short end is the start for the first. Nil where
// they leave the short bay nothing.
func (r *bayRule) fullBays(st Stretch, s share) []measure.Length {
	all := make([]measure.Length, s.n-1)
	if s.finish == 1 {
		at := st.Start
		for i := range all {
			if at = r.Reach(at, i == 0, false); at >= st.End {
				return nil
			}
			all[i] = at
		}
		return all
	}
	at := st.End
	for i := len(all) - 1; i >= 0; i-- {
		last := i == len(all)-1
		low := max(at-r.MaxBay, st.Start)
		at = low + measure.Length(sort.Search(int(at-low), func(x int) bool { return r.Reach(low+measure.Length(x), false, last) >= at }))
		if at <= st.Start {
			return nil
		}
		all[i] = at
	}
	return all
}

// leaves is the width of the short bay beside full ones.
func (r *bayRule) leaves(st Stretch, s share, at []measure.Length) measure.Length {
	switch {
	case len(at) == 0:
		return st.Length()
	case s.finish == 1:
		return st.End - at[len(at)-1]
	default:
		return at[0] - st.Start
	}
}

// evenAlong are the stations that part the ground along a stretch into n equal
// lengths.
func (r *bayRule) evenAlong(st Stretch, n int) []measure.Length {
	var total measure.Length
	for _, p := range r.pieces {
		total += measure.Hypot(p.run, p.rise)
	}
	all := make([]measure.Length, 0, n-1)
	piece, from, before := 0, st.Start, measure.Length(0) // the piece, where it starts in plan and along the ground
	for i := 1; i < n; i++ {
		at, _ := measure.MulDivRound(int64(total), int64(i), int64(n))
		p := r.pieces[piece]
		along := measure.Hypot(p.run, p.rise)
		for piece < len(r.pieces)-1 && before+along < measure.Length(at) {
			before, from, piece = before+along, p.to, piece+1
			p = r.pieces[piece]
			along = measure.Hypot(p.run, p.rise)
		}
		on, _ := measure.MulDivRound(at-int64(before), int64(p.run), int64(along))
		all = append(all, from+measure.Length(on))
	}
	return all
}
