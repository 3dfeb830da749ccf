package takeoff

import (
	"bytes"
	"fmt"
	"math/big"
	"math/bits"
	"slices"
	"strconv"
	"strings"

	"wattle/internal/measure"
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
func amount(r *big.Rat, unit string) string {
	return counted(number(r), unit)
}

func number(r *big.Rat) string {
	if r.IsInt() {
		if n := r.Num(); n.IsInt64() {
			return strconv.FormatInt(n.Int64(), 10)
		}
		return r.Num().String()
	}
	if text, ok := shortNumber(r); ok {
		return text
	}
	millionths, rest := new(big.Int).Mul(r.Num(), big.NewInt(1_000_000)), new(big.Int)
	millionths.QuoRem(millionths, r.Denom(), rest)
	digits := fmt.Sprintf("%07d", millionths)
	point := len(digits) - 6
	if rest.Sign() == 0 {
		return digits[:point] + "." + strings.TrimRight(digits[point:], "0")
	}
	// Cut off, not rounded: the dots say that the figure goes on.
	return digits[:point] + "." + digits[point:point+4] + "..."
}

// shortNumber is number for the many figures that fit in words of the machine.
func shortNumber(r *big.Rat) (text string, ok bool) {
	if r.Sign() < 0 || !r.Num().IsUint64() || !r.Denom().IsUint64() {
		return "", false
	}
	den := r.Denom().Uint64()
	hi, lo := bits.Mul64(r.Num().Uint64(), 1_000_000)
	if hi >= den {
		return "", false
	}
	millionths, rest := bits.Div64(hi, lo, den)
	b := append(strconv.AppendUint(make([]byte, 0, 32), millionths/1_000_000, 10), '.')
	point := len(b)
	b = strconv.AppendUint(b, 1_000_000+millionths%1_000_000, 10) // a one before the six digits
	b = slices.Delete(b, point, point+1)
	if rest == 0 {
		return string(bytes.TrimRight(b, "0")), true
	}
	return string(append(b[:point+4], "..."...)), true
}

// inches is a length as a step keeps it, exactly: decimal inches, or
// millimetres where inches do not end.
func inches(l measure.Length) (value, unit string) {
	text := l.In(measure.Millimetre, 6)
	if l%measure.SixtyFourth == 0 {
		text = l.In(measure.Inch, 6)
	}
	value, unit, _ = strings.Cut(text, " ")
	return value, unit
}

func lengthText(l measure.Length) string {
	value, unit := inches(l)
	return value + " " + unit
}
