package spacing

import (
	"cmp"
	"slices"

	"wattle/internal/measure"
)

// curve is a function on places, given by pieces in ascending order: what the
// best rest of a row costs with a post there. It stays exact because bounds
// that move by one in one, or not at all, and sums of departures keep every
// slope and every bend whole.
type curve []piece

// piece is at over its lowest place and changes by slope from place to place.
type piece struct {
	span
	at    measure.Length
	slope measure.Length // per nanometre
}

func (p piece) value(x measure.Length) measure.Length { return p.at + p.slope*(x-p.lo) }

// from is p from x on.
func (p piece) from(x measure.Length) piece {
	return piece{span{x, p.hi}, p.value(x), p.slope}
}

// draw appends a piece, as one with the last where it goes on with it.
func (c curve) draw(p piece) curve {
	if p.lo > p.hi {
		return c
	}
	if k := len(c) - 1; k >= 0 && c[k].hi+1 == p.lo {
		last := &c[k]
		slope := last.slope
		if last.lo == last.hi {
			slope = p.at - last.at // one place alone goes either way
		}
		if last.at+slope*(p.lo-last.lo) == p.at && (slope == p.slope || p.lo == p.hi) {
			last.hi, last.slope = p.hi, slope
			return c
		}
	}
	return append(c, p)
}

// drawLower appends the lesser of lines over the same places. Where two cross
// between places, the change is from one place to the next.
func (c curve) drawLower(over span, lines []piece) curve {
	for x := over.lo; x <= over.hi && len(lines) > 0; {
		best, value := lines[0], lines[0].value(x)
		for _, l := range lines[1:] {
			if v := l.value(x); v < value || v == value && l.slope < best.slope {
				best, value = l, v
			}
		}
		hi := over.hi
		for _, l := range lines {
			if fall := best.slope - l.slope; fall > 0 {
				hi = min(hi, x+(l.value(x)-value)/fall)
			}
		}
		c = c.draw(piece{span{x, hi}, value, best.slope})
		x = hi + 1
	}
	return c
}

// drawDeparture appends p and the departure from t.
func (c curve) drawDeparture(p piece, t measure.Length) curve {
	if p.lo < t {
		left := p
		left.hi = min(p.hi, t-1)
		left.at += t - p.lo
		left.slope--
		c = c.draw(left)
	}
	if p.hi >= t {
		right := p.from(max(p.lo, t))
		right.at += right.lo - t
		right.slope++
		c = c.draw(right)
	}
	return c
}

// lowest is the lowest place from lo to hi at which the curve is least.
func (c curve) lowest(lo, hi measure.Length) (x measure.Length, ok bool) {
	i, _ := slices.BinarySearchFunc(c, lo, func(p piece, x measure.Length) int { return cmp.Compare(p.hi, x) })
	var least measure.Length
	for ; lo <= hi && i < len(c) && c[i].lo <= hi; i++ {
		a, b := max(c[i].lo, lo), min(c[i].hi, hi)
		if c[i].slope < 0 {
			a = b
		}
		if v := c[i].value(a); !ok || v < least {
			x, least, ok = a, v, true
		}
	}
	return x, ok
}
