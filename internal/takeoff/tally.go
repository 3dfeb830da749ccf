package takeoff

// tally counts equal things in the order in which they first appear, so that a
// thousand equal bays make one step of a derivation.
type tally[K comparable] struct {
	kinds []K
	times []int
	first []int // the index that the first of each kind came with
	index map[K]int
	last  int // the kind added last; the next one is mostly the same
}

// add counts n more of kind k and says which of kinds it is; i is the index
// that the thing came with.
func (t *tally[K]) add(k K, i, n int) int {
	if t.last < len(t.kinds) && t.kinds[t.last] == k {
		t.times[t.last] += n
		return t.last
	}
	at, known := t.index[k]
	if !known {
		if t.index == nil {
			t.index = make(map[K]int)
		}
		at = len(t.kinds)
		t.index[k] = at
		t.kinds, t.times, t.first = append(t.kinds, k), append(t.times, 0), append(t.first, i)
	}
	t.times[at] += n
	t.last = at
	return at
}

// value is what p points to, or zero: a spec with its defaults has no nil.
func value[T any](p *T) T {
	if p == nil {
		var zero T
		return zero
	}
	return *p
}
