package layout

import (
	"slices"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// limits are the widest bays of one stretch.
type limits struct {
	single      measure.Length // the only bay, between both fixed posts
	first, last measure.Length
	inner       measure.Length
}

// of bay i of n.
func (l limits) of(i, n int) measure.Length {
	switch {
	case n == 1:
		return l.single
	case i == 0:
		return l.first
	case i == n-1:
		return l.last
	default:
		return l.inner
	}
}

// fewest is the least number of bays whose limits reach the length.
func (l limits) fewest(length measure.Length) int {
	if length <= l.single {
		return 1
	}
	rest := max(length-l.first-l.last, 0)
	return 2 + int((rest+l.inner-1)/l.inner)
}

// share is how a stretch of a given length is shared into n bays: every bay at
// its own limit but for the start bays at the lower station and the finish bays
// at the higher, which share what is left. Remainder is one such bay; even is
// all of them.
type share struct {
	limits
	length        measure.Length
	n             int
	start, finish int // start + finish <= n
	// fitted are the widths where posts had to leave the method's places, and
	// most the limit of each such bay; else nil.
	fitted, most []measure.Length
}

// limit of bay i.
func (s share) limit(i int) measure.Length {
	if s.most != nil {
		return s.most[i]
	}
	return s.of(i, s.n)
}

// even is s with all bays sharing.
func (s share) even() share {
	s.start, s.finish = s.n, 0
	return s
}

func (s share) isEven() bool { return s.start+s.finish == s.n }

// method names what the share is.
func (s share) method() spec.Method {
	switch {
	case s.isEven():
		return spec.Even
	case s.start+s.finish == 1:
		return spec.Remainder
	default:
		return spec.Feathered
	}
}

// shares reports whether bay i is one of those that share the rest.
func (s share) shares(i int) bool { return i < s.start || i >= s.n-s.finish }

// rest is what the sharing bays share and how many they are, once those that
// would get more than their own limit have been set to it. The rest is not
// positive where the full bays leave nothing.
func (s share) rest() (rest measure.Length, among int, set fullBays) {
	if s.n == 1 {
		return s.length, 1, fullBays{} // within its limit, by fewest
	}
	first, last := s.shares(0), s.shares(s.n-1)
	inner := s.start + s.finish // of the sharing bays
	if first {
		inner--
	}
	if last {
		inner--
	}
	for {
		rest, among = s.length, 0
		if first && !set.first {
			among++
		} else {
			rest -= s.first
		}
		if last && !set.last {
			among++
		} else {
			rest -= s.last
		}
		sharing := inner
		if set.inner {
			sharing = 0
		}
		among += sharing
		rest -= measure.Length(s.n-2-sharing) * s.inner

		tooMuch := func(limit measure.Length) bool { return limit*measure.Length(among) < rest }
		next := fullBays{
			first: set.first || first && tooMuch(s.first),
			last:  set.last || last && tooMuch(s.last),
			inner: set.inner || inner > 0 && tooMuch(s.inner), // beside wider posts bays may be wider
		}
		if next == set {
			return rest, among, set
		}
		set = next
	}
}

// fullBays are those of the sharing bays that were set to their own limits.
type fullBays struct{ first, last, inner bool }

// has reports whether bay i of n is one of them.
func (f fullBays) has(i, n int) bool {
	switch i {
	case 0:
		return f.first
	case n - 1:
		return f.last
	default:
		return f.inner
	}
}

// narrowest is the least width that a sharing bay gets, rounded down; it is not
// positive where the full bays leave nothing to share.
func (s share) narrowest() measure.Length {
	rest, among, _ := s.rest()
	if among == 0 {
		return min(s.first, s.last)
	}
	return rest / measure.Length(among)
}

// widths appends the n widths. They add up to the length exactly, and those
// that share differ by a nanometre at most, since each post is rounded by
// itself.
func (s share) widths(to []measure.Length) []measure.Length {
	if s.fitted != nil {
		return append(to, s.fitted...)
	}
	to = slices.Grow(to, s.n)
	rest, among, set := s.rest()
	shared, before := 0, measure.Length(0)
	for i := range s.n {
		if !s.shares(i) || set.has(i, s.n) {
			to = append(to, s.of(i, s.n))
			continue
		}
		shared++
		sum, _ := measure.MulDivRound(int64(rest), int64(shared), int64(among))
		to = append(to, measure.Length(sum)-before)
		before = measure.Length(sum)
	}
	return to
}

// shareBy shares a length into n bays by the spec's method. A bay under floor
// widens the feather, a bay at each end in use, until it fits or all bays are
// even; asked is the share before that.
func shareBy(l spec.Layout, lim limits, length, floor measure.Length, n int) (got, asked share) {
	s := share{limits: lim, length: length, n: n}
	var k int
	switch l.Method {
	case spec.Even:
		k = s.n
	case spec.Remainder:
		k = 1
	case spec.Feathered:
		k = l.Feather
	}
	asked = s.feather(k, l.ShortEnd)
	for got = asked; !got.isEven() && got.narrowest() < floor; k++ {
		got = s.feather(k+1, l.ShortEnd)
	}
	return got, asked
}

// feather is s with k sharing bays at the end, or at both.
func (s share) feather(k int, end spec.End) share {
	switch {
	case k >= s.n || end == spec.Both && 2*k >= s.n:
		return s.even()
	case end == spec.Start:
		s.start = k
	case end == spec.Finish:
		s.finish = k
	default:
		s.start, s.finish = k, k
	}
	return s
}
