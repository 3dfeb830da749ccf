package cutting

import "slices"

// filling is one way to fill part of a stick: the length it takes and the
// worth of the pieces in it.
type filling struct {
	length, worth int64
}

// knapsack answers, for given worths of the pieces, what the best filling of
// any length is. All arithmetic is on integers, so its answers are exact.
//
// fillings[i] holds the fillings made of pieces i, i+1, ... (the shorter ones)
// that are worth more than every shorter filling, sorted by length.
type knapsack struct {
	sizes    []int64 // descending
	worth    []int64
	fillings [][]filling
	whole    bool // false: gave up on the size, the answers are no longer best
	from, to []filling
	size     int // of the table
	largest  int // size of the largest table so far
}

// maxFillings bounds the memory and time of one knapsack. Lengths on a tape's
// grid stay far below it; it takes many short pieces of unrelated lengths to
// reach it.
const maxFillings = 1 << 20

// begin makes k, which keeps its memory, one for pieces of other sizes.
func (k *knapsack) begin(sizes []int64) {
	n := len(sizes) + 1
	k.sizes, k.fillings = sizes, slices.Grow(k.fillings[:0], n)[:n]
}

// solve builds the table for sticks up to the given length. It keeps worth, which
// must stay as it is while the table is in use.
func (k *knapsack) solve(worth []int64, count []int, length int64) {
	k.worth, k.whole = worth, true
	n := len(k.sizes)
	total := 1
	k.fillings[n] = append(k.fillings[n][:0], filling{})
	for i := n - 1; i >= 0; i-- {
		below := k.fillings[i+1]
		most := min(int64(count[i]), length/k.sizes[i])
		if worth[i] <= 0 || most == 0 {
			k.fillings[i] = append(k.fillings[i][:0], below...)
			continue
		}
		// 1, 2, 4, ... and the rest make up every number up to most.
		with, n := below, int64(0) // up to n of piece i
		for most > 2*n+1 {
			k.to = merge(k.to[:0], with, with, (n+1)*k.sizes[i], (n+1)*worth[i], length)
			k.from, k.to = k.to, k.from
			with, n = k.from, 2*n+1
		}
		rest, of := most-n, with
		if rest == 1 { // the only new ones are those of the most
			rest, of = most, below
		}
		k.fillings[i] = merge(k.fillings[i][:0], with, of, rest*k.sizes[i], rest*worth[i], length)
		total += len(k.fillings[i])
		if total > maxFillings {
			k.whole = false
			for ; i > 0; i-- {
				k.fillings[i-1] = append(k.fillings[i-1][:0], k.fillings[i]...)
			}
			break
		}
	}
	k.size, k.largest = total, max(k.largest, total)
}

// merge appends to dst the fillings a, and those of b with one more thing of the
// given length and worth, dropping those that a shorter one matches. A thing that
// is long for the stick goes with few of b, so what lies between two of those is
// taken as a whole.
func merge(dst, a, b []filling, length, worth, limit int64) []filling {
	best := int64(-1)
	for _, f := range b {
		f = filling{f.length + length, f.worth + worth}
		if f.length > limit {
			break
		}
		n := 0
		for n < len(a) && (a[n].length < f.length || a[n].length == f.length && a[n].worth >= f.worth) {
			n++
		}
		if n > 0 {
			dst, best = append(dst, a[:n]...), a[n-1].worth
			a = a[n:]
		}
		if f.worth <= best {
			continue
		}
		best = f.worth
		dst = append(dst, f)
		for len(a) > 0 && a[0].worth <= best {
			a = a[1:]
		}
	}
	return append(dst, a...)
}

// best filling within the given length out of pieces i, i+1, ...
func (k *knapsack) best(i int, length int64) filling {
	f := k.fillings[i]
	n, end := 0, len(f) // it is one of f[n:end]
	for end-n > 1 {
		if middle := int(uint(n+end) / 2); f[middle].length <= length {
			n = middle
		} else {
			end = middle
		}
	}
	return f[n]
}

// unpack appends to cuts the pieces of a filling that best(i, ...) gave.
func (k *knapsack) unpack(cuts []cut, i int, f filling) []cut {
	for ; f.length > 0; i++ {
		n := 0
		for {
			g, ok := k.find(i+1, f)
			if ok {
				f = g
				break
			}
			n++
			f.length -= k.sizes[i]
			f.worth -= k.worth[i]
		}
		if n > 0 {
			cuts = append(cuts, cut{i, n})
		}
	}
	return cuts
}

// find reports whether exactly the filling f is among those of pieces i, ...
func (k *knapsack) find(i int, f filling) (filling, bool) {
	if f.length < 0 {
		return f, false
	}
	g := k.best(i, f.length)
	return g, g.worth == f.worth
}
