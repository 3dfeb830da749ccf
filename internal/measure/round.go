package measure

// RoundTo is l to the nearest whole multiple of unit, halves away from zero.
// A unit of zero or less, and a result that passes int64, leave l as it is.
func RoundTo(l, unit Length) Length {
	if unit <= 0 {
		return l
	}
	n, _ := MulDivRound(int64(l), 1, int64(unit))
	rounded, ok := MulDivRound(n, int64(unit), 1)
	if !ok {
		return l
	}
	return Length(rounded)
}

// AppendPrintedWidths appends widths in whole multiples of unit, rounded so that they
// drift nowhere: every printed width is the difference of two rounded sums, so
// the printed widths up to any post add up to that post's printed station, and
// all of them to the printed whole. No width is off by a full unit or more.
//
// 54 ft 6 in in 7 even bays prints, to 1/16 in, as six of 7 ft 9-7/16 in and
// one, the fourth, of 7 ft 9-3/8 in.
func AppendPrintedWidths(printed, widths []Length, unit Length) []Length {
	var sum, before Length
	for _, w := range widths {
		sum += w
		station := RoundTo(sum, unit)
		printed = append(printed, station-before)
		before = station
	}
	return printed
}
