package cutting

import (
	"math"
	"math/bits"
)

// lessProduct reports a x b < c x d for numbers that are not negative.
func lessProduct(a, b, c, d int64) bool {
	h1, l1 := bits.Mul64(uint64(a), uint64(b))
	h2, l2 := bits.Mul64(uint64(c), uint64(d))
	return h1 < h2 || h1 == h2 && l1 < l2
}

// mulDiv is a x b / c rounded down, and whether there was a rest; a and b are
// not negative, c is positive and the result fits.
func mulDiv(a, b, c int64) (quotient int64, inexact bool) {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	q, r := bits.Div64(hi, lo, uint64(c))
	return int64(q), r != 0
}

func mulDivUp(a, b, c int64) int64 {
	q, inexact := mulDiv(a, b, c)
	if inexact {
		q++
	}
	return q
}

// lengthBound is a weight that no plan can be below: all the length to cut,
// at the weight per length of the best stick.
func (j *job) lengthBound() int64 {
	var total int64
	for i, n := range j.demand {
		total += int64(n) * j.sizes[i]
	}
	best := int64(math.MaxInt64)
	for _, st := range j.sticks {
		best = min(best, mulDivUp(total, st.weight, st.length))
	}
	return best
}

// countBound is a weight that no plan can be below: all pieces down to some
// length, at the weight per piece of the best stick, which holds so many of that
// length and no more that are longer.
func (j *job) countBound() int64 {
	var most, n int64
	for i, size := range j.sizes {
		n += int64(j.demand[i])
		least := int64(math.MaxInt64)
		for _, st := range j.sticks {
			if holds := st.length / size; holds > 0 {
				least = min(least, mulDivUp(n, st.weight, holds))
			}
		}
		most = max(most, least)
	}
	return most
}

// prices is a set of prices from 0 to limit, a bit each.
type prices struct {
	bits  []uint64
	limit int64
}

// maxPrices bounds the size of the set.
const maxPrices = 1 << 22

// reachable are the prices that some sticks add up to. Where there are too
// many to list, the set is empty with limit -1: all may be reachable.
func (j *job) reachable(limit int64) prices {
	if limit >= maxPrices {
		return prices{limit: -1}
	}
	set := prices{make([]uint64, limit/64+1), limit}
	set.bits[0] = 1
	for _, st := range j.sticks {
		// Up to 1, 3, 7, ... sticks more.
		for p := st.price; p > 0 && p <= limit; p *= 2 {
			words, shift := int(p/64), uint(p%64)
			for i := len(set.bits) - 1; i >= words; i-- {
				w := set.bits[i-words] << shift
				if shift > 0 && i > words {
					w |= set.bits[i-words-1] >> (64 - shift)
				}
				set.bits[i] |= w
			}
		}
	}
	return set
}

// has reports whether p is reachable, or may be.
func (s prices) has(p int64) bool {
	return p < 0 || p > s.limit || s.bits[p/64]>>(p%64)&1 == 1
}

// heaviest is the weight of the most sticks that the price can buy.
func (j *job) heaviest(price int64) int64 {
	n := int64(j.pieces)
	if cheapest := j.sticks[len(j.sticks)-1].price; cheapest > 0 {
		n = min(n, price/cheapest)
	}
	return price*j.tie + n
}

// lightest is the weight of the fewest sticks that the price can buy.
func (j *job) lightest(price int64) int64 {
	n := int64(1)
	if dearest := j.sticks[0].price; dearest > 0 {
		n = max(n, (price+dearest-1)/dearest)
	}
	return price*j.tie + n
}

// sum adds up products of integers and notices when it leaves their range.
type sum struct {
	total int64
	size  float64 // of the terms
}

// add adds a x n, for a whole n.
func (s *sum) add(a int64, n float64) {
	s.total += a * int64(n)
	s.size += float64(math.Abs(float64(a)) * n)
}

// addLeast adds the least that column j of l can come to at the reduced cost.
func (s *sum) addLeast(reduced int64, l *lp, j int) {
	if reduced < 0 {
		s.add(reduced, l.up[j])
	} else {
		s.add(reduced, l.lo[j])
	}
}

func (s *sum) exact() bool { return s.size < 1<<62 }
