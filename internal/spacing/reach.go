package spacing

import (
	"math"

	"wattle/internal/measure"
)

// Limits say how far a bay may go.
type Limits interface {
	// Reach is the farthest station at which a bay that starts at station x
	// may end; first and last say whether it is the stretch's first or last
	// bay, both where it is the only one. It is asked for x within the
	// stretch and, for each first and last, must not fall as x grows. A bay of
	// Least must be within the limit of an inner bay at every x, or at none.
	//
	// Where Reach breaks these promises a row may be missed; one that is
	// given still keeps every rule.
	Reach(x measure.Length, first, last bool) measure.Length
}

// Constant is the limits of level or evenly sloping ground: the greatest width
// of the stretch's only, first, inner and last bay.
type Constant struct{ Single, First, Inner, Last measure.Length }

// Reach is x and the width of that bay, at most the largest Length.
func (c Constant) Reach(x measure.Length, first, last bool) measure.Length {
	width := c.Inner
	switch {
	case first && last:
		width = c.Single
	case first:
		width = c.First
	case last:
		width = c.Last
	}
	if x > 0 && width > math.MaxInt64-x {
		return math.MaxInt64
	}
	return x + max(width, 0)
}

// far is past every stretch, and lets sums stay in range.
const far = 4 * measure.MaxSiteTotal

// reach is the limits' Reach, kept near the stretch so that sums stay in range.
func (s *stretch) reach(x measure.Length, first, last bool) measure.Length {
	return min(max(s.limits.Reach(x, first, last), s.start), s.end+far)
}

// inner is a nondecreasing reach of inner bays whose graph is made of ramps,
// as the search for the least departure needs it.
type inner interface {
	at(x measure.Length) measure.Length
	ramps(list []ramp, over span) []ramp
}

// ramp is a piece of such a reach: over its places it is to throughout, or
// climbs from there at one in one.
type ramp struct {
	span
	to     measure.Length
	climbs bool
}

// steady is the reach x + width.
type steady struct{ width measure.Length }

func (c steady) at(x measure.Length) measure.Length { return x + c.width }

func (c steady) ramps(list []ramp, over span) []ramp {
	return append(list, ramp{over, over.lo + c.width, true})
}

// stairs is a lower bound of any reach. Between two nodes a < b, a grain
// apart, it stays at Reach(a) until the line x + w comes above, where w is the
// lesser of the limits at a and b, less a hair. With a hair of any size it is
// at least Reach(a), which no reach falls under; that it is under Reach all
// the way is sure only with a hair of a limit or more.
type stairs struct {
	s           *stretch
	grain, hair measure.Length
}

// cell is the nodes around x, the reach at the lower, and the line's w.
func (c stairs) cell(x measure.Length) (cell span, low, width measure.Length) {
	a := x - (x-c.s.start)%c.grain
	b := min(a+c.grain, c.s.end)
	low = c.s.reach(a, false, false)
	return span{a, b - 1}, low, min(low-a, c.s.reach(b, false, false)-b) - c.hair
}

func (c stairs) at(x measure.Length) measure.Length {
	_, low, width := c.cell(x)
	return max(low, x+width)
}

func (c stairs) ramps(list []ramp, over span) []ramp {
	for x := over.lo; x <= over.hi; {
		cell, low, width := c.cell(x)
		hi := min(cell.hi, over.hi)
		// The line is above the step from here on.
		turn := max(x, min(low-width+1, hi+1))
		list = lay(list, ramp{span{x, turn - 1}, low, false})
		list = lay(list, ramp{span{turn, hi}, turn + width, true})
		x = hi + 1
	}
	return list
}

// lay appends a ramp, as one with the last where it goes on with it.
func lay(list []ramp, r ramp) []ramp {
	if r.lo > r.hi {
		return list
	}
	if k := len(list) - 1; k >= 0 && list[k].hi+1 == r.lo {
		last := &list[k]
		next, climbs := last.to, last.climbs
		if last.lo == last.hi {
			climbs = r.climbs // one place alone goes either way
		}
		if climbs {
			next += r.lo - last.lo
		}
		if next == r.to && (climbs == r.climbs || r.lo == r.hi) {
			last.hi, last.climbs = r.hi, climbs
			return list
		}
	}
	return append(list, r)
}
