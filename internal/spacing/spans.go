package spacing

import (
	"cmp"
	"slices"

	"wattle/internal/measure"
)

// span is the places lo to hi, both among them. Lists of spans are ascending
// and have a place between each two.
type span struct{ lo, hi measure.Length }

// join appends s, which starts no lower than any before it, to a list.
func join(list []span, s span) []span {
	if s.lo > s.hi {
		return list
	}
	if k := len(list) - 1; k >= 0 && s.lo <= list[k].hi+1 {
		list[k].hi = max(list[k].hi, s.hi)
		return list
	}
	return append(list, s)
}

// joinBays appends the places where a bay from one of p may end that is at
// least so wide: from every place of p there is such a bay, or from none.
func joinBays(list []span, p span, least, reach measure.Length) []span {
	if reach < p.hi+least {
		return list
	}
	return join(list, span{p.lo + least, reach})
}

// meet appends to a list what two lists have in common.
func meet(list, a, b []span) []span {
	for len(a) > 0 && len(b) > 0 {
		if lo, hi := max(a[0].lo, b[0].lo), min(a[0].hi, b[0].hi); lo <= hi {
			list = append(list, span{lo, hi})
		}
		if a[0].hi < b[0].hi {
			a = a[1:]
		} else {
			b = b[1:]
		}
	}
	return list
}

// take moves the wanted places that are in free from there to a list.
func take(list, free, wanted []span) (taken, rest []span) {
	if len(wanted) == 0 {
		return list, free
	}
	i := notBelow(free, wanted[0].lo)
	j := i
	var left []span
	for _, w := range wanted {
		for j < len(free) && free[j].lo <= w.hi {
			s := free[j]
			lo, hi := max(s.lo, w.lo), min(s.hi, w.hi)
			if lo > hi {
				left = append(left, s)
				j++
				continue
			}
			list = append(list, span{lo, hi})
			if s.lo < lo {
				left = append(left, span{s.lo, lo - 1})
			}
			if hi < s.hi {
				free[j].lo = hi + 1
				break
			}
			j++
		}
	}
	if i == 0 && len(left) <= j { // the usual case: nothing behind to move
		copy(free[j-len(left):], left)
		return list, free[j-len(left):]
	}
	return list, slices.Replace(free, i, j, left...)
}

// notBelow is the index of the first span with a place at x or above it.
func notBelow(list []span, x measure.Length) int {
	i, _ := slices.BinarySearchFunc(list, x, func(s span, x measure.Length) int { return cmp.Compare(s.hi, x) })
	return i
}

// floor is the highest place of the list at x or below it.
func floor(list []span, x measure.Length) (measure.Length, bool) {
	i := notBelow(list, x)
	if i < len(list) && list[i].lo <= x {
		return x, true
	}
	if i == 0 {
		return 0, false
	}
	return list[i-1].hi, true
}

// ceil is the lowest place of the list at x or above it.
func ceil(list []span, x measure.Length) (measure.Length, bool) {
	i := notBelow(list, x)
	if i == len(list) {
		return 0, false
	}
	return max(x, list[i].lo), true
}
