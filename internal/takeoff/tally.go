package takeoff

import "slices"

// tally counts equal things in the order in which they first appear, so that a
// thousand equal bays make one step of a derivation.
type tally[K comparable] struct {
	kinds []K
	times []int
	first []int     // the index that the first of each kind came with
	index map[K]int // of kinds, once they are many
	last  int       // the kind added last; the next one is mostly the same
}

// fewKinds are looked through one by one; most tallies have no more.
const fewKinds = 16

// find is the index of a kind.
func (t *tally[K]) find(k K) (at int, known bool) {
	if t.last < len(t.kinds) && t.kinds[t.last] == k {
		return t.last, true
	}
	if t.index != nil {
		at, known = t.index[k]
		return at, known
	}
	at = slices.Index(t.kinds, k)
	return at, at >= 0
}

// firstRoom is for how many kinds a tally takes room at once: most have no more.
const firstRoom = 4

// add counts n more of kind k and says which of kinds it is; i is the index
// that the thing came with.
func (t *tally[K]) add(k K, i, n int) int {
	at, known := t.find(k)
	if !known {
		at = len(t.kinds)
		if at == 0 {
			both := make([]int, 2*firstRoom)
			t.kinds, t.times, t.first = make([]K, 0, firstRoom), both[:0:firstRoom], both[firstRoom:firstRoom]
		}
		t.kinds, t.times, t.first = append(t.kinds, k), append(t.times, 0), append(t.first, i)
		switch {
		case t.index != nil:
			t.index[k] = at
		case len(t.kinds) > fewKinds:
			t.index = make(map[K]int)
			for j, kind := range t.kinds {
				t.index[kind] = j
			}
		}
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
