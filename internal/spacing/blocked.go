package spacing

import (
	"fmt"

	"wattle/internal/measure"
)

// Blocked is the error that no row of posts keeps every rule, and the proof of
// it. From is the farthest station to which any row of posts from the start
// comes (the start itself where no inner post can stand). It is farthest since
// every place that one more bay leads to was followed until there was no new
// one. And it is short of the end for good: the reach of a bay never falls as
// its post moves on, so what a bay from From does not reach, none does;
//
//   - the end lies beyond the reach of a last bay from From;
//   - an inner post beyond From would have to stand within the reach of the next
//     bay, clear of From and the end by Least, and no such place is allowed.
//
// (Low, High) is the barred interval all those places lie in - or, where Least
// leaves none before the end, all from which a last bay would reach the end. It
// is merged with those that overlap it and may reach past the stretch. Limit is
// the greatest width of the bay from From that would have to span it: the last
// bay's, with the end to reach, where a post beyond the interval would not
// stand Least clear of the end.
type Blocked struct {
	Low, High, Limit measure.Length
	From             measure.Length
	// TooNear: no barred interval is to blame but Least, which leaves no
	// place between From, the limit and the end. Low is From and High From
	// and Least.
	TooNear bool
}

// Error names the interval and the limit exactly.
func (b *Blocked) Error() string {
	if b.TooNear {
		return fmt.Sprintf("a bay after the post at %v may be %v wide, and no post within that keeps the least width of %v from the next",
			b.From, b.Limit, b.High-b.Low)
	}
	return fmt.Sprintf("no post may stand between %v and %v, and the bay over it, from the post at %v, may be %v wide",
		b.Low, b.High, b.From, b.Limit)
}

// blocked says what stops a row whose farthest post is at from.
func (s *stretch) blocked(from measure.Length) error {
	first := from == s.start
	next, last := s.reach(from, first, false), s.reach(from, first, true)
	near, far := from+s.least, min(next, s.end-s.least)
	limit := next
	if next >= near && far < near {
		// The next post has no room before the end: what is missing is a
		// post from which the last bay reaches it.
		limit = last
		near = lowest(from+1, far, s.end, func(x measure.Length) measure.Length { return s.reach(x, false, true) })
	}
	if near <= far {
		if b, ok := s.around(near); ok && b.High > far {
			if b.High > s.end-s.least {
				limit = last
			}
			return &Blocked{Low: b.Low, High: b.High, Limit: limit - from, From: from}
		}
	}
	return &Blocked{Low: from, High: from + s.least, Limit: limit - from, From: from, TooNear: true}
}

// lowest is the lowest x from lo to hi at which reach is at least y, hi+1
// where there is none.
func lowest(lo, hi, y measure.Length, reach func(measure.Length) measure.Length) measure.Length {
	for lo <= hi {
		if mid := lo + (hi-lo)/2; reach(mid) >= y {
			hi = mid - 1
		} else {
			lo = mid + 1
		}
	}
	return lo
}
