package render

import (
	"bufio"
	"cmp"
	"encoding/xml"
	"io"
	"math"
	"strconv"
	"strings"

	"wattle/internal/fault"
)

// style of a stroke: colour and width in points.
type stroke struct {
	colour string
	width  float64
}

// Colours differ in lightness, so that a grey print can be read.
const (
	dark  = "#1b1b1b"
	mid   = "#5f6b73"
	light = "#a9b3b9"
	wood  = "#b98a4e"
	blue  = "#1f4e79"
	white = "#ffffff"
)

// svg is a drawing in the making: shapes in paint order, then texts.
type svg struct{ shapes, texts []Mark }

// number is a coordinate with two decimals.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	if s == "-0.00" {
		return "0.00"
	}
	return s
}

func pair(v vec) string { return number(v.x) + " " + number(v.y) }

func (d *svg) path(data, fill string, s stroke) {
	d.shapes = append(d.shapes, Mark{Path: data, Fill: fill, Stroke: s.colour, Width: s.width})
}

func (d *svg) line(a, b vec, s stroke) { d.path("M"+pair(a)+"L"+pair(b), "none", s) }

func (d *svg) polygon(fill string, s stroke, corners ...vec) {
	var data strings.Builder
	for i, c := range corners {
		data.WriteString(string("ML"[min(i, 1)]) + pair(c))
	}
	d.path(data.String()+"Z", fill, s)
}

// arc is a quarter turn around the pivot from a to b.
func (d *svg) arc(pivot, a, b vec, s stroke) {
	r := number(a.sub(pivot).length())
	from, to := a.sub(pivot), b.sub(pivot)
	sweep := "0"
	if from.x*to.y-from.y*to.x > 0 {
		sweep = "1"
	}
	d.path("M"+pair(a)+"A"+r+" "+r+" 0 0 "+sweep+" "+pair(b), "none", s)
}

// start writes level text from its left end, which is at.
func (d *svg) start(l label, at vec) { d.write(l, at, true) }

// text is written in the middle of its box.
func (d *svg) text(l label) { d.write(l, l.box.centre, false) }

func (d *svg) write(l label, c vec, fromStart bool) {
	// The baseline lies below the middle by about a third of the size.
	sin, cos := math.Sincos(l.box.angle)
	at := c.add(vec{-sin, cos}.times(0.35 * l.size))
	d.texts = append(d.texts, Mark{
		Text: plain(l.text), X: at.x, Y: at.y, Size: l.size, Angle: l.box.angle, Bold: l.bold, FromStart: fromStart,
		Fill: cmp.Or(l.colour, dark),
	})
}

// escape is s as XML text; xml.EscapeText also replaces what XML may not hold.
func escape(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(plain(s))) // a Builder takes everything
	return b.String()
}

// writeTo writes the document, a page of the given size in points.
func (d *svg) writeTo(w io.Writer, size vec, title string) error {
	out := bufio.NewWriter(w) // which keeps the first error
	for _, part := range []string{
		`<?xml version="1.0" encoding="UTF-8"?>` + "\n",
		`<svg xmlns="http://www.w3.org/2000/svg" width="` + number(size.x/72) + `in" height="` + number(size.y/72) + `in" viewBox="0 0 ` + pair(size) + `">` + "\n",
		"<title>" + escape(title) + "</title>\n",
		`<rect width="100%" height="100%" fill="` + white + `"/>` + "\n",
		marked(d.shapes),
		`<g font-family="sans-serif" fill="` + dark + `" text-anchor="middle">` + "\n",
		marked(d.texts),
		"</g>\n</svg>\n",
	} {
		out.WriteString(part)
	}
	return out.Flush()
}

// pages is a document of sheets of one size, one below the other, drawn from
// the top left corner of the sheet begun last.
type pages struct {
	svg
	size   vec
	count  int
	labels []label // at their places in the whole document
}

// turn begins a sheet.
func (p *pages) turn() {
	sheet := Mark{turn: true, Y: float64(p.count) * p.size.y, first: p.count == 0}
	p.shapes, p.texts = append(p.shapes, sheet), append(p.texts, sheet)
	if p.count++; p.count > 1 {
		p.line(vec{0, 0}, vec{p.size.x, 0}, stroke{light, 0.6})
		p.shapes[len(p.shapes)-1].between = true
	}
}

// note keeps a label that was drawn for whoever asks what stands where.
func (p *pages) note(l label) {
	l.box.centre.y += float64(p.count-1) * p.size.y
	p.labels = append(p.labels, l)
}

// write puts a line of text with its left end at a place, cut to the limit.
func (p *pages) write(at vec, words string, size, limit float64, bold bool) {
	if words == "" {
		return
	}
	wider := 1.0
	if bold {
		wider = 1.1
	}
	l := newLabel(shortened(words, size, limit/wider-2), size)
	l.bold, l.box.width = bold, l.box.width*wider
	l.box.centre = at.add(vec{l.box.width / 2, 0})
	p.note(l)
	p.start(l, at)
}

func (p *pages) finish(w io.Writer, title string) error {
	if p.count > 0 {
		end := Mark{turn: true, last: true}
		p.shapes, p.texts = append(p.shapes, end), append(p.texts, end)
	}
	return p.writeTo(w, vec{p.size.x, p.size.y * float64(max(p.count, 1))}, title)
}

// paperOf is the size of a paper by its name, letter where there is none.
func paperOf(name string) (vec, error) {
	if name == "" {
		name = "letter"
	}
	size, known := papers[name]
	if !known {
		var v fault.List
		v.Add("paper", "%q is not a paper known here; expected letter or a4", name)
		return vec{}, v.Err()
	}
	return size, nil
}
