package takeoff

import (
	"slices"
	"strings"

	"wattle/internal/measure"
)

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
	return string(s.AppendSentence(make([]byte, 0, 320))) // most sentences are shorter
}

// AppendSentence appends Sentence to b.
func (s *Step) AppendSentence(b []byte) []byte {
	words, start := &everyInput, len(b)
	if r, known := rulesByID[s.Rule]; known {
		words = &r.words
	}
	if s.Subject != "" {
		b = append(append(b, s.Subject...), ": "...)
	}
	b = words.fill(b, s)
	if !words.tellsResult {
		b = append(b, " = "...)
		if s.Unrounded != "" {
			b = append(append(append(appendFigure(b, s.Unrounded), ", "...), s.Rounding...), ": "...)
		}
		b = appendFigure(b, s.Result)
	}
	if s.Subject == "" && len(b) > start && 'a' <= b[start] && b[start] <= 'z' {
		b[start] -= 'a' - 'A'
	}
	return append(b, '.')
}

// template is a rule's sentence, taken apart once. {name} is an input as a tape
// shows it, {name!} the same as it was given, {result}, {unrounded} and
// {rounding} are the step's own, {+} is every input added up with its name, {,}
// every input that the sentence does not name. What stands in [brackets] is left
// out where it names an input that the step does not have.
type template struct {
	parts       []part
	named       []string // the inputs that stand in it as {name}
	tellsResult bool
}

// part of a template.
type part struct {
	kind partKind
	text string    // literal, or the name of an input
	some *template // what stands in brackets
	asks []string  // the inputs that it names, without which it is left out
}

type partKind int

const (
	literal partKind = iota
	input
	inputAsGiven
	theResult
	theUnrounded
	theRounding
	allAdded
	allOthers
	bracketed
)

var ownParts = map[string]partKind{"result": theResult, "unrounded": theUnrounded, "rounding": theRounding, "+": allAdded, ",": allOthers}

// everyInput is for the steps of rules that there are no more.
var everyInput = templateOf("{+}")

func templateOf(sentence string) template {
	t := template{tellsResult: strings.Contains(sentence, "{result}")}
	for rest := sentence; rest != ""; {
		before, after, _ := strings.Cut(rest, "[")
		t.take(before, &t.named)
		inside, after, bracket := strings.Cut(after, "]")
		if bracket {
			some := &template{}
			some.take(inside, &t.named)
			t.parts = append(t.parts, part{kind: bracketed, some: some, asks: some.inputs()})
		}
		rest = after
	}
	for _, p := range t.parts {
		if p.some != nil {
			p.some.named = t.named
		}
	}
	return t
}

// take appends the parts of words without brackets, and their names to named.
func (t *template) take(words string, named *[]string) {
	for words != "" {
		before, rest, found := strings.Cut(words, "{")
		if before != "" {
			t.parts = append(t.parts, part{kind: literal, text: before})
		}
		if !found {
			return
		}
		name, after, _ := strings.Cut(rest, "}")
		words = after
		if own, is := ownParts[name]; is {
			t.parts = append(t.parts, part{kind: own})
		} else if given, raw := strings.CutSuffix(name, "!"); raw {
			t.parts = append(t.parts, part{kind: inputAsGiven, text: given})
		} else {
			t.parts = append(t.parts, part{kind: input, text: name})
			*named = append(*named, name)
		}
	}
}

// inputs are those that stand in the template itself.
func (t *template) inputs() []string {
	var names []string
	for _, p := range t.parts {
		if p.kind == input || p.kind == inputAsGiven {
			names = append(names, p.text)
		}
	}
	return names
}

// fill appends the words for a step; an input that it does not have is no words.
func (t *template) fill(b []byte, s *Step) []byte {
	for i := range t.parts {
		p := &t.parts[i]
		switch p.kind {
		case literal:
			b = append(b, p.text...)
		case input, inputAsGiven:
			in, _ := s.input(p.text)
			if p.kind == input {
				b = appendCounted(b, in.Value, in.Unit)
			} else {
				b = append(append(append(b, in.Value...), ' '), in.Unit...)
			}
		case theResult:
			b = appendFigure(b, s.Result)
		case theUnrounded:
			b = appendFigure(b, s.Unrounded)
		case theRounding:
			b = append(b, s.Rounding...)
		case allAdded:
			for i, in := range s.Inputs {
				if i > 0 {
					b = append(b, " + "...)
				}
				b = append(append(appendCounted(b, in.Value, in.Unit), ' '), in.Name...)
			}
		case allOthers:
			b = t.others(b, s)
		case bracketed:
			if s.hasAll(p.asks) {
				b = p.some.fill(b, s)
			}
		}
	}
	return b
}

func (s *Step) hasAll(inputs []string) bool {
	for _, name := range inputs {
		if _, has := s.input(name); !has {
			return false
		}
	}
	return true
}

func (t *template) others(b []byte, s *Step) []byte {
	listed := false
	for _, in := range s.Inputs {
		if slices.Contains(t.named, in.Name) {
			continue
		}
		if listed {
			b = append(b, ", "...)
		}
		b = appendCounted(b, in.Value, in.Unit)
		listed = true
	}
	return b
}

func (s *Step) input(name string) (in *Input, has bool) {
	for i := range s.Inputs {
		if in = &s.Inputs[i]; in.Name == name {
			return in, true
		}
	}
	return &noInput, false
}

var noInput Input

// shown is a figure as a sentence shows it.
func shown(figure string) string { return string(appendFigure(nil, figure)) }

func appendFigure(b []byte, figure string) []byte {
	if value, is := strings.CutSuffix(figure, " in"); is {
		return appendLength(b, value, "in", measure.Inch)
	}
	if value, is := strings.CutSuffix(figure, " mm"); is {
		return appendLength(b, value, "mm", measure.Millimetre)
	}
	return append(b, figure...)
}

// appendLength appends a length as a tape shows it where it is whole in 1/16 in or
// 1 mm, else in decimal inches, so that sums still come out.
func appendLength(b []byte, value, name string, unit measure.Length) []byte {
	l, ok := measure.Decimal(value, unit)
	if !ok {
		var err error
		if l, err = measure.Parse(value + " " + name); err != nil {
			return append(append(append(b, value...), ' '), name...)
		}
	}
	switch {
	case l%measure.Sixteenth == 0:
		return l.AppendImperial(b)
	case l%measure.Millimetre == 0:
		return append(b, l.In(measure.Millimetre, 0)...)
	default:
		return append(b, l.Inches(4)...)
	}
}

// counted is a value with its unit: "1 board", "3 boards", "24 ft 3-1/2 in".
func counted(value, unit string) string {
	return string(appendCounted(make([]byte, 0, 64), value, unit))
}

func appendCounted(b []byte, value, unit string) []byte {
	switch unit {
	case "":
		return append(b, value...)
	case "in":
		return appendLength(b, value, unit, measure.Inch)
	case "mm":
		return appendLength(b, value, unit, measure.Millimetre)
	}
	b = append(append(append(b, value...), ' '), unit...)
	switch {
	case value == "1" || samePlural(unit):
		return b
	case unit == "leaf":
		return append(b[:len(b)-len("f")], "ves"...)
	case strings.HasSuffix(unit, "ch"):
		return append(b, "es"...)
	default:
		return append(b, 's')
	}
}

// samePlural reports whether a unit is the same in the plural: one of measure, or
// a rate.
func samePlural(unit string) bool {
	switch unit {
	case "ft", "ft2", "ft3", "lb", "gal", "%", "", "yd", "cm", "m", "yd2", "m2", "yd3", "m3", "l", "qt", "oz", "cwt", "g", "kg", "t",
		"each", "dozen", "gross", "hundred", "thousand":
		return true
	default:
		return strings.Contains(unit, "/")
	}
}
