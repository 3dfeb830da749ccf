package chart

import (
	"io"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"wattle/internal/civil"
	"wattle/internal/costindex"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// Line is one series under the name that stands at its end.
type Line struct {
	Name   string
	Series costindex.Series
}

// Cost is cost per foot over time, a step line for each series: offices side by
// side, or a fence at what is known now and at what was known then. Gaps are
// breaks in the line.
type Cost struct {
	Title    string
	Currency money.Currency
	Lines    []Line
}

// Draw writes the chart. It is an error (Invalid) where there is nothing to draw,
// more than twelve lines, or a series that is out of order.
func (c Cost) Draw(w io.Writer, f Format) error {
	v := &fault.List{}
	v.Require(len(c.Lines) > 0, "lines", "there are none")
	v.Require(len(c.Lines) <= mostLines, "lines", "%d of them; at most %d can be told apart", len(c.Lines), mostLines)
	for i, line := range c.Lines {
		line.Series.Validate(v.At("lines").Index(i).At("series"))
	}
	if err := v.Err(); err != nil {
		return err
	}
	from, to := c.Lines[0].Series.Steps[0].From, c.Lines[0].Series.To
	for _, line := range c.Lines {
		from, to = earlier(from, line.Series.Steps[0].From), later(to, line.Series.To)
	}
	var all []path
	low, high, some := 0.0, 0.0, false
	for i, line := range c.Lines {
		p := stepsOf(line.Series, from)
		for _, piece := range p.pieces {
			for _, at := range piece {
				if !some {
					low, high, some = at.Y, at.Y, true
				}
				low, high = min(low, at.Y), max(high, at.Y)
			}
		}
		v.At("lines").Index(i).Require(len(p.pieces) > 0, "series", "%s has no value on any day", line.Name)
		all = append(all, p)
	}
	if err := v.Err(); err != nil {
		return err
	}
	low, high = roomy(low, high)
	frame := overTime(c.Title, perFoot(c.Currency), from, to, low, high)
	for i, p := range all {
		frame.add(i, p, c.Lines[i].Name)
	}
	return frame.draw(w, f)
}

func perFoot(c money.Currency) string { return c.String() + " per ft" }

func earlier(a, b civil.Date) civil.Date {
	if b.Compare(a) < 0 {
		return b
	}
	return a
}

func later(a, b civil.Date) civil.Date {
	if b.Compare(a) > 0 {
		return b
	}
	return a
}

// add draws a line with a mark and a name at its end.
func (f *frame) add(n int, p path, text string) {
	s, thickness := strokeOf(n)
	line := draw.LineStyle{Color: s.color, Width: thickness, Dashes: s.dashes}
	mark := draw.GlyphStyle{Color: s.color, Radius: vg.Points(2.2), Shape: s.mark}
	for _, piece := range p.pieces {
		f.plot.Add(&plotter.Line{XYs: piece, StepStyle: p.kind, LineStyle: line})
	}
	piece := p.pieces[len(p.pieces)-1]
	end := piece[len(piece)-1]
	f.plot.Add(&plotter.Scatter{XYs: plotter.XYs{end}, GlyphStyle: mark})
	f.names = append(f.names, name{text, p.last, end.X, end.Y, func(c draw.Canvas, box vg.Rectangle) {
		middle := (box.Min.Y + box.Max.Y) / 2
		c.StrokeLine2(line, box.Min.X, middle, box.Max.X, middle)
		c.DrawGlyphNoClip(mark, vg.Point{X: box.Max.X - mark.Radius, Y: middle})
	}})
}
