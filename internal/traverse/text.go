package traverse

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"wattle/internal/fault"
	"wattle/internal/measure"
)

var (
	between = regexp.MustCompile(`(?i);|\bthence\b`)
	grade   = regexp.MustCompile(`(?i)\b(?:slope|rise)\b`)
)

// call is one leg of the text and the line it stands on.
type call struct {
	line int
	text string
}

// calls are the legs of the text, comments and empty ones left out.
func calls(text string) []call {
	var all []call
	line := 0
	for row := range strings.Lines(text) {
		line++
		row, _, _ = strings.Cut(row, "#")
		for _, part := range between.Split(row, -1) {
			// Deeds end a call with a comma or a full stop.
			part = strings.TrimFunc(part, func(c rune) bool { return unicode.IsSpace(c) || c == ',' || c == '.' })
			if part != "" {
				all = append(all, call{line, part})
			}
		}
	}
	return all
}

// legs are the legs of the input, and whether any says how the ground rises.
func (in Input) legs(v *fault.List) (legs []Leg, graded bool) {
	if len(in.Text) > MaxText {
		v.Add("text", "%d bytes; expected at most %d", len(in.Text), MaxText)
		return nil, false
	}
	written := calls(in.Text)
	field, n := "legs", len(in.Legs)
	if in.Text != "" && n == 0 {
		field, n = "text", len(written)
	}
	switch {
	case len(written) > 0 && len(in.Legs) > 0:
		v.Add("legs", "given beside a text; expected one of them")
		return nil, false
	case n == 0:
		v.Add(field, "there are no legs; expected at least one, such as N 45-30-00 E 120.50 ft")
		return nil, false
	case n > MaxLegs:
		v.Add(field, "%d legs; expected at most %d", n, MaxLegs)
		return nil, false
	}
	add := func(leg Leg, gives bool) { legs, graded = append(legs, leg), graded || gives }
	for _, c := range written {
		add(c.read(func(field, format string, args ...any) {
			where := fmt.Sprintf("line %d", c.line)
			if field != "bearing" { // whose error begins with the text
				where += fmt.Sprintf(" (%.60q)", c.text)
			}
			v.Add("text", "%s: %s", where, fmt.Sprintf(format, args...))
		}))
	}
	for i, leg := range in.Legs {
		add(leg.read(v.At("legs").Index(i).Add))
	}
	return legs, graded
}

// read takes a call apart: bearing, distance, and after the word "rise" or
// "slope" what that is.
func (c call) read(wrong report) (Leg, bool) {
	_, rest, err := measure.CutBearing(c.text)
	if err != nil {
		wrong("bearing", "%v", err)
		return Leg{}, false
	}
	leg := LegText{Bearing: strings.TrimSpace(c.text[:len(c.text)-len(rest)])}
	words := grade.FindAllStringIndex(rest, -1)
	end := len(rest)
	for _, word := range slices.Backward(words) {
		from, to := word[0], word[1]
		value, into := rest[to:end], &leg.Rise
		if strings.EqualFold(rest[from:to], "slope") {
			into = &leg.Percent
		}
		end = from
		if *into != "" || strings.Trim(value, " \t\u00a0,") == "" {
			wrong("", "expected one figure after the word %s, and one such word", rest[from:to])
			return Leg{}, false
		}
		*into = strings.Trim(value, " \t\u00a0,")
	}
	leg.Distance = strings.Trim(rest[:end], " \t\u00a0,")
	if leg.Rise != "" && leg.Percent != "" {
		wrong("", "both a rise and a slope; expected one of them")
		leg.Rise, leg.Percent = "", ""
	}
	return leg.read(wrong)
}
