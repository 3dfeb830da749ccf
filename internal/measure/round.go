package measure

import "math"

// RoundTo is l to the nearest whole multiple of unit, halves away from zero.
// A unit of zero or less, and a result that passes int64, leave l as it is.
func RoundTo(l, unit Length) Length {
	if unit <= 0 {
		return l
	}
	rest := l % unit
	switch whole := l - rest; {
	case rest > 0 && rest >= unit-rest:
		if whole > math.MaxInt64-unit {
			return l
		}
		return whole + unit
	case rest < 0 && -rest >= unit+rest:
		if whole < math.MinInt64+unit {
			return l
		}
		return whole - unit
	default:
		return whole
	}
}

// PrintedWidths prints widths in whole multiples of Unit, rounded so that they
// drift nowhere: every printed width is the difference of two rounded sums, so
// the printed widths up to any post add up to that post's printed station, and
// all of them to the printed whole. No width is off by a full unit or more.
//
// 54 ft 6 in in 7 even bays prints, to 1/16 in, as six of 7 ft 9-7/16 in and
// one, the fourth, of 7 ft 9-3/8 in.
type PrintedWidths struct {
	Unit         Length
	sum, printed Length // of the widths so far
}

// Next is the next width as it is printed.
func (p *PrintedWidths) Next(width Length) Length {
	before := p.printed
	p.sum += width
	p.printed = RoundTo(p.sum, p.Unit)
	return p.printed - before
}
