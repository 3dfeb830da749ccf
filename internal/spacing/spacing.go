// Package spacing places posts on a straight line of stations: as few bays as
// the limits allow, no post inside a barred interval, and every post as near
// as can be to where a method would have put it. It is exact, in whole
// nanometres, and knows nothing of what stands between the posts.
//
//	Start                 barred                      End
//	  |------x------x----( ////// )----x------x--------|
//	     x_1    x_2                x_3    x_4      5 bays
//
// Two facts carry all of it. Reach is nondecreasing, so from a set of places
// one bay leads to a set that its ends describe. And of two rows of posts that
// keep every rule, the lower post of each pair makes a row that keeps every
// rule, and so does the higher; hence there is one lowest best row, and any
// row on one side of the targets bounds every best one.
package spacing

import (
	"cmp"
	"slices"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

// Guards against absurd input. What passes one is fault.Exhausted.
const (
	MaxBays   = 500_000
	MaxBarred = 100_000
	// MaxPieces bounds the time (a few seconds) of the search for the least
	// departure. It takes most where one barred interval pushes along every
	// post to the end, the bays being so near their limits that none takes up
	// the push: 30,000 such bays stay under it, 40,000 do not. Where pushes die
	// away after tens of posts it is never near.
	MaxPieces = 400_000_000
	// MaxKept bounds the memory (128 MB) of it. It is near only where, besides,
	// Least is so near the limits that a push may leave a bay of no more.
	MaxKept = 4_000_000
)

// Interval is the open interval (Low, High) of stations in which no inner post
// may stand; a post on its edge is allowed. One of less than two nanometres
// bars nothing.
type Interval struct{ Low, High measure.Length }

// Request is one stretch between two fixed posts.
type Request struct {
	// Start and End are the stations of the fixed posts, Start < End, each
	// within measure.MaxSiteTotal of zero.
	Start, End measure.Length
	Limits     Limits
	// Least is the least width of a bay, as posts must not stand in one
	// another; less than a nanometre is taken as one. A stretch shorter than
	// Least can only be one bay, and is allowed to be.
	Least measure.Length
	// Barred may come in any order, overlap, and reach past the stretch. The
	// fixed posts are not held against it.
	Barred []Interval
	// Targets are the n-1 stations at which the method would put the inner
	// posts of n bays. Fewest does not call it.
	Targets func(n int) []measure.Length
}

// stretch is a request made ready: Least at least 1, the barred intervals
// merged, and the places where inner posts may stand.
type stretch struct {
	start, end, least measure.Length
	limits            Limits
	barred            []Interval // ascending, disjoint, each with a place inside
	free              []span     // within [start+least, end-least]
	pieces            int        // how many more the search may draw
}

func prepare(r Request) (*stretch, error) {
	v := &fault.List{}
	for _, end := range []struct {
		field string
		at    measure.Length
	}{{"start", r.Start}, {"end", r.End}} {
		v.Require(-measure.MaxSiteTotal <= end.at && end.at <= measure.MaxSiteTotal, end.field,
			"must be within %v of zero, is %v", measure.MaxSiteTotal, end.at)
	}
	v.Require(r.Start < r.End, "end", "must be beyond the start at %v, is %v", r.Start, r.End)
	v.Require(r.Limits != nil, "limits", "must be given")
	for i, b := range r.Barred {
		v.At("barred").Index(i).Require(b.Low <= b.High, "high", "must not be below low at %v, is %v", b.Low, b.High)
	}
	if err := v.Err(); err != nil {
		return nil, err
	}
	if len(r.Barred) > MaxBarred {
		return nil, fault.New(fault.Exhausted, "TOO_MANY_BARRED",
			"a stretch may have %d barred intervals, this one has %d", MaxBarred, len(r.Barred))
	}
	least := min(max(r.Least, 1), far)
	s := &stretch{start: r.Start, end: r.End, least: least, limits: r.Limits, barred: merge(r), pieces: MaxPieces}
	from, to := s.start+least, s.end-least
	for _, b := range s.barred {
		if last := min(b.Low, to); from <= last {
			s.free = append(s.free, span{from, last})
		}
		from = max(from, b.High)
	}
	if from <= to {
		s.free = append(s.free, span{from, to})
	}
	return s, nil
}

// merge makes one of barred intervals with no place between them and drops
// those without a place inside, or wholly outside the stretch.
func merge(r Request) []Interval {
	var all []Interval
	for _, b := range r.Barred {
		if b.Low < b.High && b.Low+1 < b.High && b.High > r.Start && b.Low < r.End {
			all = append(all, b)
		}
	}
	slices.SortFunc(all, func(a, b Interval) int {
		return cmp.Or(cmp.Compare(a.Low, b.Low), cmp.Compare(a.High, b.High))
	})
	merged := all[:0]
	for _, b := range all {
		if k := len(merged) - 1; k >= 0 && b.Low < merged[k].High {
			merged[k].High = max(merged[k].High, b.High)
		} else {
			merged = append(merged, b)
		}
	}
	return merged
}

// around is the barred interval with x strictly inside.
func (s *stretch) around(x measure.Length) (Interval, bool) {
	i, _ := slices.BinarySearchFunc(s.barred, x, func(b Interval, x measure.Length) int { return cmp.Compare(b.High, x+1) })
	if i < len(s.barred) && s.barred[i].Low < x {
		return s.barred[i], true
	}
	return Interval{}, false
}

// keeps says whether inner posts at these places, one or more, keep every rule.
func (s *stretch) keeps(places []measure.Length) bool {
	before := s.start
	for i, x := range places {
		if x > s.reach(before, i == 0, false) || x > s.end-s.least || x < before+s.least {
			return false
		}
		if _, barred := s.around(x); barred {
			return false
		}
		before = x
	}
	return s.reach(before, false, true) >= s.end
}
