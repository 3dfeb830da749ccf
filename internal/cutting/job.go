package cutting

import "math/bits"

// job is a request in the search's own terms: every piece and every stick is
// longer by one kerf, which turns the kerf rule into plain addition; equal
// pieces are added up; longest first.
type job struct {
	sizes  []int64 // nanometres, descending
	demand []int
	sticks []stick // worth considering: longest first, each cheaper than the one before
	pieces int     // sum of demand
	// tie makes prices and stick counts one number: see stick.weight. It is
	// more than the number of pieces, and so of sticks in any sensible plan.
	tie int64
}

// stick is a stock length on offer.
type stick struct {
	length int64
	price  int64 // in the unit that all prices are whole multiples of
	weight int64 // price x tie + 1: the price first, the number of sticks second
}

// cut is a number of equal pieces; piece is an index of job.sizes.
type cut struct {
	piece, count int
}

// pattern is a way to cut one stick of job.sticks.
type pattern struct {
	stick int
	cuts  []cut // longest first
}

// line is a pattern and the number of sticks cut by it.
type line struct {
	pattern
	times int
}

// hash is the same of equal patterns, and seldom of others.
func (p pattern) hash() uint64 {
	h := uint64(p.stick)
	for _, c := range p.cuts {
		h = (bits.RotateLeft64(h, 5) ^ uint64(c.piece)<<32 ^ uint64(c.count)) * 0x9e3779b97f4a7c15
	}
	return h
}

// repeats is how often p can be cut before one of its pieces runs short.
func (p pattern) repeats(rest []int) int {
	n := rest[p.cuts[0].piece] / p.cuts[0].count
	for _, c := range p.cuts[1:] {
		n = min(n, rest[c.piece]/c.count)
	}
	return n
}

// takeFrom lowers rest by the pieces of l.
func (l line) takeFrom(rest []int) {
	for _, c := range l.cuts {
		rest[c.piece] -= l.times * c.count
	}
}

// atLeastZero forgets pieces cut beyond the demand.
func atLeastZero(rest []int) []int {
	for i, n := range rest {
		rest[i] = max(0, n)
	}
	return rest
}

// length that the pieces of p take, one kerf each included.
func (j *job) length(p pattern) int64 {
	var l int64
	for _, c := range p.cuts {
		l += int64(c.count) * j.sizes[c.piece]
	}
	return l
}

// part is the job of cutting rest alone, and for each of its pieces the index
// in j.
func (j *job) part(rest []int) (*job, []int) {
	sub := &job{sticks: j.sticks, tie: j.tie}
	var index []int
	for i, n := range rest {
		if n > 0 {
			sub.sizes = append(sub.sizes, j.sizes[i])
			sub.demand = append(sub.demand, n)
			sub.pieces += n
			index = append(index, i)
		}
	}
	return sub, index
}

// cheapest stick that holds the pieces of p: the shortest.
func (j *job) cheapest(p pattern) int {
	l := j.length(p)
	s := len(j.sticks) - 1
	for j.sticks[s].length < l {
		s--
	}
	return s
}
