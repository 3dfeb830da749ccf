package chart

import (
	"io"
	"sort"
	"strings"

	"github.com/govalues/decimal"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"wattle/internal/civil"
	"wattle/internal/money"
)

// frame is a plot over time under a heading, with names beside it.
type frame struct {
	title, note string
	plot        *plot.Plot
	names       []name
}

// name stands in the column to the right of the plot, as near as it can to where
// what it names ends, in the plot's own coordinates. Before it is a sample of what
// it names, behind it the last value.
type name struct {
	text   string
	value  decimal.Decimal
	x, y   float64
	sample func(draw.Canvas, vg.Rectangle)
}

// The column of names.
const (
	mostNameWidth = 2 * vg.Inch
	nameGap       = 10 // points between the plot and the samples
	sampleWidth   = 14
	sampleGap     = 4 // points between a sample and its name
	nameColumn    = nameGap + sampleWidth + sampleGap
)

// overTime is a frame from one day to another, both in it, and from one figure to
// another.
func overTime(title, unit string, from, to civil.Date, low, high float64) frame {
	p := plot.New()
	p.X.Min, p.X.Max = 0, float64(from.DaysTo(to)+1)
	p.X.Tick.Marker = dates(from, to)
	p.Y.Min, p.Y.Max = low, high
	p.Y.Tick.Marker = numbers(low, high)
	p.Y.Label.Text = unit
	dress(p)
	grid := plotter.NewGrid()
	grid.Horizontal.Color, grid.Vertical.Color = faint, nil
	p.Add(grid)
	return frame{title: title, plot: p}
}

// dress gives a plot's axes our fonts.
func dress(p *plot.Plot) {
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Tick.Label.Font, a.Tick.Label.Color = plain(tickSize).Font, ink
		a.Label.TextStyle.Font, a.Label.TextStyle.Color = plain(noteSize).Font, ink
		a.Label.Padding = 3
		a.Tick.Length = 4
		a.Padding = 2
	}
}

// draw writes the chart.
func (f frame) draw(w io.Writer, format Format) error {
	return onPaper(w, format, func(c draw.Canvas) {
		area := heading(c, f.title, f.note)
		names := f.place(area)
		f.plot.Draw(names.plot)
		style := plain(labelSize)
		for _, n := range names.placed {
			left, middle := n.box.Min.X-sampleGap-sampleWidth, n.box.Max.Y-lineHeight(style)/2-0.8 // where small letters are
			c.StrokeLine2(draw.LineStyle{Color: guide, Width: 0.4}, n.from.X, n.from.Y, left-sampleGap/2, middle)
			n.sample(c, vg.Rectangle{Min: vg.Point{X: left, Y: middle - 3}, Max: vg.Point{X: left + sampleWidth, Y: middle + 3}})
			write(c, style, n.lines, n.box)
		}
	})
}

// heading draws title and note, and gives what is left below them.
func heading(c draw.Canvas, title, note string) draw.Canvas {
	wide := c.Max.X - c.Min.X
	for _, h := range []struct {
		text  string
		style text.Style
	}{{title, bold(titleSize)}, {note, plain(noteSize)}} {
		for _, line := range wrap(h.text, h.style, wide, 2) {
			c.FillText(h.style, vg.Point{X: c.Min.X, Y: c.Max.Y - lineHeight(h.style)/2}, line)
			c.Max.Y -= lineHeight(h.style)
		}
	}
	c.Max.Y -= 6
	return c
}

// write puts lines of text into a box, from the top down.
func write(c draw.Canvas, style text.Style, lines []string, box vg.Rectangle) {
	for i, line := range lines {
		c.FillText(style, vg.Point{X: box.Min.X, Y: box.Max.Y - lineHeight(style)*(vg.Length(i)+0.5)}, line)
	}
}

// names is a column of names and the room it leaves for the plot.
type names struct {
	plot   draw.Canvas
	placed []placedName
}

type placedName struct {
	name
	lines []string
	box   vg.Rectangle
	from  vg.Point // where what it names ends
}

// wrapped is the name in lines. Where it has to be cut, the value is not.
func (n name) wrapped(style text.Style, most int) []string {
	letters, value := []rune(clean(n.text)), money.Fixed(n.value, 2)
	lines := wrap(string(letters)+" "+value, style, mostNameWidth, most)
	whole := func(lines []string) bool { return strings.HasSuffix(lines[len(lines)-1], value) }
	if whole(lines) {
		return lines
	}
	cut := func(kept int) []string {
		return wrap(strings.TrimSpace(string(letters[:kept]))+"… "+value, style, mostNameWidth, most)
	}
	return cut(max(0, sort.Search(len(letters), func(n int) bool { return !whole(cut(n)) })-1))
}

// place finds room for the names: they are broken into two lines where they are
// long, into one where there would be no room for two, and moved apart.
func (f frame) place(area draw.Canvas) names {
	style := plain(labelSize)
	most, lines := 3, make([][]string, len(f.names))
	for room := vg.Length(-1); room < 0 && most > 1; {
		most--
		room = area.Max.Y - area.Min.Y
		for i, n := range f.names {
			lines[i] = n.wrapped(style, most)
			room -= vg.Length(len(lines[i])) * lineHeight(style)
		}
	}
	var wide vg.Length
	for _, l := range lines {
		wide = max(wide, widest(l, style))
	}
	if len(f.names) > 0 {
		wide += nameColumn
	}
	n := names{plot: draw.Crop(area, 0, -wide, 0, 0)}
	data := f.plot.DataCanvas(n.plot)
	x, y := f.plot.Transforms(&data)
	wanted, sizes := make([]float64, len(f.names)), make([]float64, len(f.names))
	for i, name := range f.names {
		wanted[i], sizes[i] = float64(y(name.y)), float64(vg.Length(len(lines[i]))*lineHeight(style))
	}
	for i, middle := range spread(wanted, sizes, float64(area.Min.Y), float64(area.Max.Y)) {
		half := vg.Length(sizes[i] / 2)
		n.placed = append(n.placed, placedName{
			name: f.names[i], lines: lines[i], from: vg.Point{X: x(f.names[i].x), Y: y(f.names[i].y)},
			box: vg.Rectangle{
				Min: vg.Point{X: n.plot.Max.X + nameColumn, Y: vg.Length(middle) - half},
				Max: vg.Point{X: n.plot.Max.X + nameColumn + widest(lines[i], style), Y: vg.Length(middle) + half},
			},
		})
	}
	return n
}
