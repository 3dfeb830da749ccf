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

// Sentences is the derivation in words, a sentence for each step.
func (d Derivation) Sentences() []string {
	all := make([]string, len(d.Steps))
	for i, s := range d.Steps {
		all[i] = s.Sentence()
	}
	return all
}

// Sentence is the step in words that a person can check with a tape and a
// calculator.
func (s Step) Sentence() string {
	text, known := ruleNamed(s.Rule)
	if !known {
		text.sentence = "{+}"
	}
	words := s.expand(text.sentence)
	if !strings.Contains(text.sentence, "{result}") {
		if s.Unrounded == "" {
			words += " = " + shown(s.Result)
		} else {
			words += " = " + shown(s.Unrounded) + ", " + s.Rounding + ": " + shown(s.Result)
		}
	}
	if s.Subject != "" {
		return s.Subject + ": " + words + "."
	}
	return strings.ToUpper(words[:1]) + words[1:] + "."
}

// expand fills a rule's sentence. {name} is an input as a tape shows it,
// {name!} the same as it was given, {result}, {unrounded} and {rounding} are
// the step's own, {+} is every input added up with its name, {,} every input
// that the sentence does not name. What stands in [brackets] is left out where
// it names an input that the step does not have.
func (s Step) expand(sentence string) string {
	b := make([]byte, 0, 2*len(sentence))
	for rest := sentence; rest != ""; {
		before, after, found := strings.Cut(rest, "[")
		b, _ = s.fill(b, before, sentence)
		if !found {
			break
		}
		optional, after, _ := strings.Cut(after, "]")
		if more, complete := s.fill(b, optional, sentence); complete {
			b = more
		}
		rest = after
	}
	return string(b)
}

// fill appends part with its {names} replaced, and reports whether the step has
// them all.
func (s Step) fill(b []byte, part, whole string) (filled []byte, complete bool) {
	complete = true
	for {
		before, rest, found := strings.Cut(part, "{")
		b = append(b, before...)
		if !found {
			return b, complete
		}
		name, after, _ := strings.Cut(rest, "}")
		part = after
		switch name {
		case "result":
			b = append(b, shown(s.Result)...)
		case "unrounded":
			b = append(b, shown(s.Unrounded)...)
		case "rounding":
			b = append(b, s.Rounding...)
		case "+":
			for i, in := range s.Inputs {
				if i > 0 {
					b = append(b, " + "...)
				}
				b = append(appendCounted(b, in.Value, in.Unit), ' ')
				b = append(b, in.Name...)
			}
		case ",":
			listed := false
			for _, in := range s.Inputs {
				if strings.Contains(whole, "{"+in.Name+"}") {
					continue
				}
				if listed {
					b = append(b, ", "...)
				}
				b = appendCounted(b, in.Value, in.Unit)
				listed = true
			}
		default:
			name, raw := strings.CutSuffix(name, "!")
			in, has := s.input(name)
			complete = complete && has
			if raw {
				b = append(append(append(b, in.Value...), ' '), in.Unit...)
			} else {
				b = appendCounted(b, in.Value, in.Unit)
			}
		}
	}
}

func (s Step) input(name string) (Input, bool) {
	for _, in := range s.Inputs {
		if in.Name == name {
			return in, true
		}
	}
	return Input{}, false
}

// shown is a figure as a sentence shows it: a length as a tape does where it is
// whole in 1/16 in or 1 mm, else in decimal inches, so that sums still come out.
func shown(figure string) string {
	if !strings.HasSuffix(figure, " in") && !strings.HasSuffix(figure, " mm") {
		return figure
	}
	l, err := measure.Parse(figure)
	switch {
	case err != nil:
		return figure
	case l%measure.Sixteenth == 0:
		return l.Imperial()
	case l%measure.Millimetre == 0:
		return l.In(measure.Millimetre, 0)
	default:
		return l.Inches(4)
	}
}

// counted is a value with its unit: "1 board", "3 boards", "24 ft 3-1/2 in".
func counted(value, unit string) string { return string(appendCounted(nil, value, unit)) }

func appendCounted(b []byte, value, unit string) []byte {
	switch unit {
	case "":
		return append(b, value...)
	case "in", "mm":
		return append(b, shown(value+" "+unit)...)
	default:
		return append(append(append(b, value...), ' '), plural(value, unit)...)
	}
}

func plural(value, unit string) string {
	switch unit {
	case "ft", "ft2", "ft3", "lb", "gal", "%", "", "yd", "cm", "m", "yd2", "m2", "yd3", "m3", "l", "qt", "oz", "cwt", "g", "kg", "t",
		"each", "dozen", "gross", "hundred", "thousand":
		return unit
	case "leaf":
		if value != "1" {
			return "leaves"
		}
	}
	switch {
	case strings.Contains(unit, "/"): // a rate
		return unit
	case value == "1":
		return unit
	case strings.HasSuffix(unit, "ch"):
		return unit + "es"
	default:
		return unit + "s"
	}
}

// amount is a figure with its unit as a step keeps it: exact, or four decimals
// and "..." where the division does not end within six.
func amount(r *big.Rat, unit string) string {
	return counted(number(r), unit)
}

func number(r *big.Rat) string {
	if r.IsInt() {
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
