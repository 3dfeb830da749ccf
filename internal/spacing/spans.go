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

// notBelow is the index of the first span with a place at x or above it.
func notBelow(list []span, x measure.Length) int {
	i, _ := slices.BinarySearchFunc(list, x, func(s span, x measure.Length) int { return cmp.Compare(s.hi, x) })
	return i
}

// floor is the highest place of the list at x or below it; where there is none
// it is not ok, and the lowest of all.
func floor(list []span, x measure.Length) (measure.Length, bool) {
	i := notBelow(list, x)
	switch {
	case i < len(list) && list[i].lo <= x:
		return x, true
	case i > 0:
		return list[i-1].hi, true
	case len(list) > 0:
		return list[0].lo, false
	}
	return 0, false
}

// ceil is the lowest place of the list at x or above it; where there is none
// it is not ok, and the highest of all.
func ceil(list []span, x measure.Length) (measure.Length, bool) {
	i := notBelow(list, x)
	switch {
	case i < len(list):
		return max(x, list[i].lo), true
	case i > 0:
		return list[i-1].hi, false
	}
	return 0, false
}
