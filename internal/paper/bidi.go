package paper

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/bidi"
	"golang.org/x/text/unicode/norm"
)

// clean is s as it is printed: in NFC, on one line, without what has no glyph of
// its own.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsControl(r), unicode.In(r, unicode.Zl, unicode.Zp):
			return ' '
		case unicode.In(r, unicode.Cf, unicode.Variation_Selector):
			return -1
		default:
			return r
		}
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return norm.NFC.String(s)
}

// rightToLeft reports whether the first letter of s is of a script that runs
// from right to left.
func rightToLeft(s string) bool {
	for _, r := range s {
		switch class(r) {
		case bidi.L:
			return false
		case bidi.R, bidi.AL:
			return true
		default:
		}
	}
	return false
}

func class(r rune) bidi.Class {
	p, _ := bidi.LookupRune(r)
	return p.Class()
}

// anyRightToLeft reports whether a line needs reordering at all.
func anyRightToLeft(s string) bool {
	return strings.ContainsFunc(s, func(r rune) bool { c := class(r); return c == bidi.R || c == bidi.AL || c == bidi.AN })
}

// visual is a line in the order in which its characters are printed, from left
// to right [UAX 9]. The library gives runs of one direction in reading order;
// which of them turn round follows from their levels: in a line that runs from
// right to left all do, in another those runs between that are right to left,
// and numbers among them.
func visual(s string, fromRight bool) string {
	if !anyRightToLeft(s) {
		return s
	}
	runs := directions(s, fromRight)
	if fromRight {
		slices.Reverse(runs)
	} else {
		for i := 0; i < len(runs); i++ {
			n := i
			for n < len(runs) && (runs[n].right || n > i && onlyNumbers(runs[n].text)) {
				n++
			}
			if n > i {
				slices.Reverse(runs[i:n])
				i = n
			}
		}
	}
	var b strings.Builder
	for _, r := range runs {
		if r.right {
			b.WriteString(bidi.ReverseString(r.text))
		} else {
			b.WriteString(r.text)
		}
	}
	return b.String()
}

type run struct {
	text  string
	right bool
}

// directions are the runs of a line in reading order; the line as it is where
// the library cannot tell.
func directions(s string, fromRight bool) (runs []run) {
	whole := []run{{s, fromRight}}
	defer func() {
		if recover() != nil {
			runs = whole
		}
	}()
	mark := "\u200E"
	if fromRight {
		mark = "\u200F"
	}
	var p bidi.Paragraph
	if _, err := p.SetString(mark + s); err != nil {
		return whole
	}
	order, err := p.Order()
	if err != nil {
		return whole
	}
	length := 0
	for i := range order.NumRuns() {
		r := order.Run(i)
		text := strings.Trim(r.String(), mark)
		length += len(text)
		if text != "" {
			runs = append(runs, run{text, r.Direction() == bidi.RightToLeft})
		}
	}
	if length != len(s) {
		return whole
	}
	return runs
}

// onlyNumbers: figures and no letters, which after letters from right to left
// belong to them.
func onlyNumbers(s string) bool {
	return strings.ContainsFunc(s, func(r rune) bool { return class(r) == bidi.EN }) &&
		!strings.ContainsFunc(s, func(r rune) bool { return class(r) == bidi.L })
}

// joining are scripts whose letters take other shapes beside one another, which
// is not done here: they print letter by letter.
var joining = []*unicode.RangeTable{
	unicode.Arabic, unicode.Syriac, unicode.Nko, unicode.Mongolian, unicode.Devanagari, unicode.Bengali, unicode.Gurmukhi, unicode.Gujarati,
	unicode.Oriya, unicode.Tamil, unicode.Telugu, unicode.Kannada, unicode.Malayalam, unicode.Sinhala, unicode.Khmer, unicode.Myanmar, unicode.Tibetan,
}

func needsShaping(r rune) bool { return unicode.In(r, joining...) }
