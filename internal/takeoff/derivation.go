package takeoff

import (
	"bytes"
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"wattle/internal/measure"
	"wattle/internal/rational"
)

// Derivation is how a figure was reached: data first, the sentence from it.
type Derivation struct {
	Steps []Step
}

// Step is one application of one rule.
type Step struct {
	// Rule is a stable id: "boards.face", "concrete.hole".
	Rule string
	// Source is an id of the published figure the rule comes from, or "common
	// practice".
	Source string
	// Subject is what the step is about, where one line has several: "P1 to P4
	// (run 1, 0 ft to 24 ft)". Equal subjects are one step.
	Subject string
	Inputs  []Input
	// Unrounded and Result are figures as text with their unit, lengths in
	// decimal inches or millimetres. They are exact, but for a division that
	// does not end: it shows four decimals and "...". Rounding says in words how
	// the one became the other; both are "" where nothing was rounded.
	Unrounded, Rounding, Result string
}

// Input is a named figure that went into a step. Unit is a unit of measure
// ("in", "ft3", "%"), the noun that Value counts ("board"), or empty.
type Input struct {
	Name, Value, Unit string
}

// amount is a figure with its unit as a step keeps it: exact, or four decimals
// and "..." where the division does not end within six.
func amount(r rational.Number, unit string) string {
	var room [shortText]byte
	return counted(string(appendNumber(room[:0], r)), unit)
}

// amountOf is a whole number of things: "18 boards".
func amountOf(n int, noun string) string {
	var room [shortText]byte
	return counted(string(strconv.AppendInt(room[:0], int64(n), 10)), noun)
}

func number(r rational.Number) string {
	var room [shortText]byte
	return string(appendNumber(room[:0], r))
}

// shortText holds the text of any figure of a word, which is so made in place.
const shortText = 32

func appendNumber(b []byte, r rational.Number) []byte {
	if n, ok := r.Int64(); ok {
		return strconv.AppendInt(b, n, 10)
	}
	if n, exact, ok := r.Millionths(); ok {
		return appendMillionths(b, n, exact)
	}
	return append(b, longNumber(r)...)
}

// longNumber is number for what no word holds.
func longNumber(r rational.Number) string {
	if r.IsInt() {
		return r.String()
	}
	exact := r.Big()
	all, rest := new(big.Int).Mul(exact.Num(), big.NewInt(1_000_000)), new(big.Int)
	all.QuoRem(all, exact.Denom(), rest)
	digits := fmt.Sprintf("%07d", all)
	point := len(digits) - 6
	if rest.Sign() == 0 {
		return digits[:point] + "." + strings.TrimRight(digits[point:], "0")
	}
	// Cut off, not rounded: the dots say that the figure goes on.
	return digits[:point] + "." + digits[point:point+4] + "..."
}

// appendMillionths appends millionths that are no whole number, or not all of one.
func appendMillionths(b []byte, n uint64, exact bool) []byte {
	b = append(strconv.AppendUint(b, n/1_000_000, 10), '.')
	point := len(b)
	b = strconv.AppendUint(b, 1_000_000+n%1_000_000, 10) // a one before the six digits
	b = slices.Delete(b, point, point+1)
	if exact {
		return bytes.TrimRight(b, "0")
	}
	return append(b[:point+4], "..."...)
}

// cubicFeet is amount of a solid, which mostly does not end.
func cubicFeet(s measure.Solid) string {
	if whole, exact := s.Millionths(); !exact && whole.Sign() >= 0 {
		if n, fits := whole.Int64(); fits {
			var room [shortText]byte
			return counted(string(appendMillionths(room[:0], uint64(n), false)), string(CubicFoot))
		}
	}
	return amount(s.Ft3(), string(CubicFoot))
}

// lengthText is a length as a step keeps it, exactly: decimal inches, or
// millimetres where inches do not end.
func lengthText(l measure.Length) string {
	if l%measure.SixtyFourth == 0 {
		return l.In(measure.Inch, 6)
	}
	return l.In(measure.Millimetre, 6)
}
