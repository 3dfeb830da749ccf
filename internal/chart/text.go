package chart

import (
	"sort"
	"strings"
	"unicode"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// Sizes of text, in points.
const (
	titleSize = 11
	noteSize  = 8.5
	labelSize = 8.5
	tickSize  = 8
)

func plain(size font.Length) text.Style {
	return text.Style{
		Color: ink, Font: font.From(font.Font{Typeface: "Liberation", Variant: "Sans"}, size),
		XAlign: text.XLeft, YAlign: text.YCenter, Handler: plot.DefaultTextHandler,
	}
}

func bold(size font.Length) text.Style {
	s := plain(size)
	s.Font.Weight = xfont.WeightBold
	return s
}

// lineHeight is how far lines of text are apart.
func lineHeight(s text.Style) vg.Length { return s.Font.Size * 1.2 }

// clean is s on one line and without what no file of text may hold.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsPrint(r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
	return strings.Join(strings.Fields(s), " ")
}

// wrap breaks clean text into at most a number of lines of a width, between words
// where that goes; what does not fit ends in an ellipsis.
func wrap(s string, style text.Style, wide vg.Length, most int) []string {
	rest := []rune(clean(s))
	var lines []string
	for len(rest) > 0 {
		if style.Width(string(rest)) <= wide {
			return append(lines, string(rest))
		}
		suffix := ""
		last := len(lines)+1 == most
		if last {
			suffix = "…"
		}
		// As many letters as fit, at least one.
		n := max(1, sort.Search(len(rest), func(n int) bool { return style.Width(string(rest[:n+1])+suffix) > wide }))
		if space := strings.LastIndex(string(rest[:n]), " "); space > 0 && !last {
			n = len([]rune(string(rest[:n])[:space]))
		}
		lines = append(lines, strings.TrimSpace(string(rest[:n]))+suffix)
		if last {
			return lines
		}
		rest = []rune(strings.TrimSpace(string(rest[n:])))
	}
	return lines
}

// widest is the width of the longest line.
func widest(lines []string, style text.Style) (wide vg.Length) {
	for _, line := range lines {
		wide = max(wide, style.Width(line))
	}
	return wide
}
