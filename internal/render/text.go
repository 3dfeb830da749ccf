package render

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// width is how long a line of running text gets, in characters.
const width = 90

// plain is s on one line: control and format characters, line ends among them,
// become spaces, and what is no UTF-8 the replacement character.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}

// page is a text document being written; the first error stays.
type page struct{ *bufio.Writer }

func newPage(w io.Writer) page { return page{bufio.NewWriter(w)} }

func (p page) line(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	p.WriteString(strings.TrimRight(text, " ") + "\n")
}

func (p page) heading(text string) {
	p.line("%s", text)
	p.line("%s", strings.Repeat("-", utf8.RuneCountInString(text)))
}

// paragraph wraps text; the first line starts with lead, the others with as
// many spaces.
func (p page) paragraph(lead, text string) {
	indent := utf8.RuneCountInString(lead)
	for i, l := range wrapped(text, width-indent) {
		if i > 0 {
			lead = strings.Repeat(" ", indent)
		}
		p.line("%s%s", lead, l)
	}
}

// wrapped breaks text between words into lines of at most limit characters. A
// longer word is broken where the line ends.
func wrapped(text string, limit int) []string {
	var lines []string
	var current []rune
	for word := range strings.FieldsSeq(plain(text)) {
		rest := []rune(word)
		if len(current) > 0 && len(current)+1+len(rest) > limit {
			lines, current = append(lines, string(current)), nil
		}
		if len(current) > 0 {
			current = append(current, ' ')
		}
		for len(rest) > limit {
			lines, rest = append(lines, string(rest[:limit])), rest[limit:]
		}
		current = append(current, rest...)
	}
	if len(current) > 0 {
		lines = append(lines, string(current))
	}
	return lines
}

// table is rows of cells that stand in columns. Columns are as wide as their
// widest cell.
type table struct {
	// right is, by column, whether it is set flush right.
	right []bool
	rows  [][]string
}

// newTable takes one letter for each column, l or r.
func newTable(columns string, heads ...string) *table {
	t := &table{}
	for _, c := range columns {
		t.right = append(t.right, c == 'r')
	}
	if len(heads) > 0 {
		t.row(heads...)
	}
	return t
}

func (t *table) row(cells ...string) {
	clean := make([]string, len(t.right))
	for i, c := range cells {
		clean[i] = plain(c)
	}
	t.rows = append(t.rows, clean)
}

func (t *table) widths() []int {
	wide := make([]int, len(t.right))
	for _, r := range t.rows {
		for i, c := range r {
			wide[i] = max(wide[i], utf8.RuneCountInString(c))
		}
	}
	return wide
}

func (t *table) write(p page) {
	wide := t.widths()
	for _, r := range t.rows {
		var b strings.Builder
		for i, c := range r {
			if i > 0 {
				b.WriteString("  ")
			}
			fill := strings.Repeat(" ", wide[i]-utf8.RuneCountInString(c))
			if t.right[i] {
				b.WriteString(fill + c)
			} else {
				b.WriteString(c + fill)
			}
		}
		p.line("%s", b.String())
	}
}

// counted is n and the noun, in the plural where n is not one: "1 bay",
// "3 bays".
func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
