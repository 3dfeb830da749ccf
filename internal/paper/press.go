package paper

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"wattle/internal/civil"
)

// Room on a page, in points.
const (
	side       = 54 // left and right
	headAt     = 36 // baseline of the running head
	firstBody  = 64 // where the body begins under a running head
	footRoom   = 54
	bodySize   = 9.5
	lineHeight = 1.32 // of the size of text
)

// Colours of our papers. They differ in lightness, so that a grey print can be
// read.
const (
	black = "#1b1b1b"
	grey  = "#5f6b73"
	pale  = "#a9b3b9"
	wash  = "#eef1f3"
	deep  = "#1f4e79"
)

// press is a document being printed: where the next line goes, and what has to
// be told about what was printed.
type press struct {
	pdf           *fpdf.Fpdf
	fonts         fonts
	locale        locale
	width, height float64
	y             float64
	// title stands at the head of every page, total in its foot: the number of
	// pages, known when it is printed for the second time.
	title, head string
	total       int
	letterhead  bool // the first page has one in place of the running head
	customers   bool // the document is for the customer
	glyphs
}

func newPress(t Template, made civil.Date, title, head string, total int) (*press, error) {
	size := sizes[t.Paper]
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: size[0], Ht: size[1]}})
	pdf.SetMargins(0, 0, 0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCatalogSort(true)
	pdf.SetCompression(true)
	pdf.SetCreationDate(made.Time())
	pdf.SetModificationDate(made.Time())
	pdf.SetProducer("Wattle", true)
	pdf.SetTitle(title, true)
	pdf.SetLang("en")
	l, err := newLocale(t.Locale)
	if err != nil {
		return nil, err
	}
	faces, err := loadFonts(pdf, t.Font)
	if err != nil {
		return nil, err
	}
	return &press{pdf: pdf, fonts: faces, locale: l, width: size[0], height: size[1], title: title, head: head, total: total}, nil
}

// sizes of paper in points, upright.
var sizes = map[string][2]float64{"letter": {612, 792}, "a4": {595.28, 841.89}}

// room is how wide the body is, bottom where it ends.
func (p *press) room() float64   { return p.width - 2*side }
func (p *press) bottom() float64 { return p.height - footRoom }

// turn begins a page.
func (p *press) turn() {
	p.pdf.AddPageFormat("P", fpdf.SizeType{Wd: p.width, Ht: p.height})
	p.y = firstBody
	if !p.letterhead || p.pdf.PageNo() > 1 {
		p.runningHead(p.width)
	}
	p.foot(p.width, p.height)
}

func (p *press) runningHead(width float64) {
	p.in("head")
	right := p.measure(p.title, 8, false)
	p.print(width-side-right, headAt, p.title, 8, false, grey)
	p.print(side, headAt, p.shortened(p.head, 8, true, width-2*side-right-12), 8, true, grey)
	p.rule(side, width-side, headAt+6, 0.5, pale)
}

func (p *press) foot(width, height float64) {
	p.in("foot")
	words := "page " + strconv.Itoa(p.pdf.PageNo())
	if p.total > 0 {
		words += " of " + strconv.Itoa(p.total)
	}
	p.print(width-side-p.measure(words, 8, false), height-24, words, 8, false, grey)
}

// need turns the page where less than a height is left on it.
func (p *press) need(height float64) {
	if p.y+height > p.bottom() {
		p.turn()
	}
}

func (p *press) skip(height float64) { p.y += height }

// measure is how wide text gets.
func (p *press) measure(s string, size float64, bold bool) float64 {
	wide := 0.0
	for _, r := range s {
		wide += p.advance(r, bold)
	}
	return wide * size
}

func (p *press) advance(r rune, bold bool) float64 {
	f, printed, _ := p.fonts.find(r, bold)
	return max(0, f.advance(printed))
}

// print writes cleaned text on its baseline, in as many pieces as it takes fonts.
func (p *press) print(x, y float64, s string, size float64, bold bool, colour string) {
	p.printFrom(x, y, s, rightToLeft(s), size, bold, colour)
}

func (p *press) printFrom(x, y float64, s string, fromRight bool, size float64, bold bool, colour string) {
	p.pdf.SetTextColor(rgb(colour))
	var piece strings.Builder
	var at *face
	flush := func() {
		if piece.Len() == 0 {
			return
		}
		p.pdf.SetFont(at.family, at.style, size)
		p.pdf.Text(x, y, piece.String())
		for _, r := range piece.String() {
			x += max(0, at.advance(r)) * size
		}
		piece.Reset()
	}
	for _, r := range visual(clean(s), fromRight) {
		f, printed, missing := p.fonts.find(r, bold)
		p.note(r, missing)
		if f != at {
			flush()
			at = f
		}
		piece.WriteRune(printed)
	}
	flush()
}

// wrapped breaks text between words into lines of at most a width; a longer word
// is broken where the line ends. No text is no line.
func (p *press) wrapped(text string, size float64, bold bool, width float64) []string {
	var lines []string
	var current strings.Builder
	at, space := 0.0, p.measure(" ", size, bold)
	for word := range strings.FieldsSeq(clean(text)) {
		wide := p.measure(word, size, bold)
		if current.Len() > 0 && at+space+wide > width {
			lines = append(lines, current.String())
			current.Reset()
			at = 0
		}
		if current.Len() > 0 {
			current.WriteString(" ")
			at += space
		}
		if at+wide <= width {
			current.WriteString(word)
			at += wide
			continue
		}
		for _, r := range word {
			w := p.advance(r, bold) * size
			if at+w > width && current.Len() > 0 {
				lines = append(lines, current.String())
				current.Reset()
				at = 0
			}
			current.WriteRune(r)
			at += w
		}
	}
	if current.Len() > 0 {
		lines = append(lines, current.String())
	}
	return lines
}

// shortened is s on one line, cut to a width.
func (p *press) shortened(s string, size float64, bold bool, width float64) string {
	s = clean(s)
	if p.measure(s, size, bold) <= width {
		return s
	}
	runes := []rune(s)
	for len(runes) > 0 && p.measure(string(runes)+"...", size, bold) > width {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "..."
}

// paragraph is running text over the body's width, over pages where it is long.
func (p *press) paragraph(text string, size float64, bold bool, colour string) {
	p.indented("", text, size, bold, colour)
}

// indented is a paragraph behind a mark, such as a bullet.
func (p *press) indented(mark, text string, size float64, bold bool, colour string) {
	left := float64(side)
	if mark != "" {
		left += 12
	}
	lines := p.wrapped(text, size, bold, p.width-side-left)
	fromRight := rightToLeft(clean(text))
	for i, l := range lines {
		p.need(size * lineHeight)
		p.y += size * lineHeight
		if i == 0 && mark != "" {
			p.print(side+2, p.y-0.25*size, mark, size, bold, colour)
		}
		p.printFrom(left, p.y-0.25*size, l, fromRight, size, bold, colour)
	}
}

// heading stands over a part, with room for some of it.
func (p *press) heading(text string, follows float64) {
	p.skip(12)
	p.need(18 + follows)
	p.y += 14
	p.print(side, p.y-3, text, 11.5, true, deep)
	p.rule(side, p.width-side, p.y+1, 0.7, deep)
	p.skip(5)
}

func (p *press) rule(from, to, y, width float64, colour string) {
	p.pdf.SetDrawColor(rgb(colour))
	p.pdf.SetLineWidth(width)
	p.pdf.Line(from, y, to, y)
}

func (p *press) band(x, y, width, height float64, colour string) {
	p.pdf.SetFillColor(rgb(colour))
	p.pdf.Rect(x, y, width, height, "F")
}

// finish is the document's bytes.
func (p *press) finish() ([]byte, error) {
	var b bytes.Buffer
	if err := p.pdf.Output(&b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// rgb are the parts of a colour #rrggbb.
func rgb(colour string) (r, g, b int) {
	_, err := fmt.Sscanf(colour, "#%02x%02x%02x", &r, &g, &b)
	if err != nil {
		return 0, 0, 0
	}
	return r, g, b
}
