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

// maxSums bounds the table of prices that sticks can add up to.
const maxSums = 1 << 21

// sums lists which prices up to limit some sticks add up to; nil where there
// are too many to list.
func (j *job) sums(limit int64) []bool {
	if limit >= maxSums {
		return nil
	}
	sums := make([]bool, limit+1)
	sums[0] = true
	for _, st := range j.sticks {
		for p := st.price; p <= limit; p++ {
			sums[p] = sums[p] || sums[p-st.price]
		}
	}
	return sums
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
	s.size += math.Abs(float64(a)) * n
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
