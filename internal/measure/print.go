package measure

import (
	"math/bits"
	"strconv"
)

// String is the exact length, as Parse reads it: feet, inches and 64ths where
// the length is whole in them ("7 ft 9-29/64 in"), otherwise decimal
// millimetres ("2400 mm", "2374.900001 mm").
func (l Length) String() string {
	if l%SixtyFourth == 0 {
		return feetAndInches(l, sixtyFourths)
	}
	return decimalText(int64(l), int64(Millimetre), 6) + " mm"
}

// AppendTo appends String to b.
func (l Length) AppendTo(b []byte) []byte {
	if l%SixtyFourth == 0 {
		return appendFeetAndInches(b, l, sixtyFourths)
	}
	return append(b, l.String()...)
}

// Imperial is the length in feet and inches to the nearest 1/16 in, halves away
// from zero: "8 ft", "6 ft 6 in", "7 ft 9-7/16 in", "3-1/2 in", "0 in".
func (l Length) Imperial() string { return feetAndInches(l, sixteenths) }

// AppendImperial appends Imperial to b.
func (l Length) AppendImperial(b []byte) []byte { return appendFeetAndInches(b, l, sixteenths) }

// Tape is a length that prints as Imperial does, once it is printed: for the words
// of checks, of which most are never said.
type Tape Length

// String is Imperial.
func (t Tape) String() string { return Length(t).Imperial() }

// Metric is the length to the nearest millimetre, halves away from zero: metres
// with three decimals from 1 m up ("2.400 m"), millimetres below ("850 mm").
func (l Length) Metric() string {
	if rounded := RoundTo(l, Millimetre); rounded < Metre && rounded > -Metre {
		return fixedText(int64(l), int64(Millimetre), 0) + " mm"
	}
	return fixedText(int64(l), int64(Metre), 3) + " m"
}

// In is the length in the given unit (Inch, Foot, Metre...) as a decimal of at
// most places digits, halves away from zero, trailing zeros dropped, with the
// unit's name: In(Inch, 3) of 30 in / 11 is "2.727 in". What is no unit is
// taken as Millimetre.
func (l Length) In(unit Length, places int) string {
	var room [shortText]byte
	b, name := l.appendIn(room[:0], unit, places)
	return string(append(append(b, ' '), name...))
}

// AppendJoined appends In to b without the space before the unit: "92.625in".
func (l Length) AppendJoined(b []byte, unit Length, places int) []byte {
	var room [shortText]byte
	number, name := l.appendIn(room[:0], unit, places)
	return append(append(b, number...), name...)
}

// appendIn appends the number of In to b, which is empty, and gives the unit's name.
func (l Length) appendIn(b []byte, unit Length, places int) (number []byte, name string) {
	name, ok := symbol(unit)
	if !ok {
		unit, name = Millimetre, "mm"
	}
	return appendDecimal(b, int64(l), int64(unit), max(places, 0)), name
}

// Inches is In(Inch, places), as derivations show widths: "96 in", "5.5 in".
func (l Length) Inches(places int) string { return l.In(Inch, places) }

// How often an inch is halved to be the part that a length is rounded to.
const sixteenths, sixtyFourths = 4, 6

// feetAndInches is l to the nearest part, an inch halved so often, with the
// fraction in its lowest terms.
func feetAndInches(l Length, halved int) string {
	return string(appendFeetAndInches(make([]byte, 0, shortText), l, halved))
}

func appendFeetAndInches(b []byte, l Length, halved int) []byte {
	n, per := magnitude(int64(l)), uint64(Inch)>>halved
	parts := n / per
	if rest := n % per; rest >= per-rest {
		parts++
	}
	perInch := uint64(1) << halved
	feet, inches, num := parts>>halved/12, parts>>halved%12, parts&(perInch-1)
	if l < 0 && parts > 0 {
		b = append(b, '-')
	}
	if feet > 0 {
		b = append(strconv.AppendUint(b, feet, 10), " ft"...)
		if inches == 0 && num == 0 {
			return b
		}
		b = append(b, ' ')
	}
	if inches > 0 || num == 0 || feet > 0 {
		b = strconv.AppendUint(b, inches, 10)
		if num > 0 {
			b = append(b, '-')
		}
	}
	if num > 0 {
		low := bits.TrailingZeros64(num | perInch)
		b = append(strconv.AppendUint(b, num>>low, 10), '/')
		b = strconv.AppendUint(b, perInch>>low, 10)
	}
	return append(b, " in"...)
}
