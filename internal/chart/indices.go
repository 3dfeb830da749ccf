package chart

import (
	"io"

	"github.com/govalues/decimal"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"wattle/internal/civil"
	"wattle/internal/fault"
)

// IndexLine is an index under the name that stands at its end; Values has one for
// each day of Indices.On.
type IndexLine struct {
	Name   string
	Values []decimal.Decimal
}

// Indices is several indices over the same days, side by side.
type Indices struct {
	Title string
	On    []civil.Date
	// Base is the number of the day (from 0) on which all of them are 100.
	Base  int
	Lines []IndexLine
}

// Draw writes the chart. It is an error (Invalid) where there is nothing to draw,
// more than twelve lines, days are out of order or a line has too many or too few
// values.
func (x Indices) Draw(w io.Writer, f Format) error {
	v := &fault.List{}
	v.Require(len(x.On) > 0, "on", "there are no days")
	for i := 1; i < len(x.On); i++ {
		v.At("on").Index(i).Require(x.On[i-1].Compare(x.On[i]) < 0, "", "%v is not after the day before", x.On[i])
	}
	v.Require(x.Base >= 0 && x.Base < len(x.On), "base", "there is no day %d", x.Base)
	v.Require(len(x.Lines) > 0, "lines", "there are none")
	v.Require(len(x.Lines) <= mostLines, "lines", "%d of them; at most %d can be told apart", len(x.Lines), mostLines)
	for i, line := range x.Lines {
		v.At("lines").Index(i).Require(len(line.Values) == len(x.On), "values", "%s has %d for %d days", line.Name, len(line.Values), len(x.On))
	}
	if err := v.Err(); err != nil {
		return err
	}
	from, to := x.On[0], x.On[len(x.On)-1]
	low, high := 100.0, 100.0
	for _, line := range x.Lines {
		for _, value := range line.Values {
			low, high = min(low, place(value)), max(high, place(value))
		}
	}
	low, high = roomy(low, high)
	base := x.On[x.Base]
	frame := overTime(x.Title, "index, "+base.String()+" = 100", from, to, low, high)
	frame.plot.Add(
		guideline(plotter.XY{X: 0, Y: 100}, plotter.XY{X: frame.plot.X.Max, Y: 100}),
		guideline(plotter.XY{X: float64(from.DaysTo(base)), Y: low}, plotter.XY{X: float64(from.DaysTo(base)), Y: high}))
	for i, line := range x.Lines {
		p := path{pieces: make([]plotter.XYs, 1)}
		for j, value := range line.Values {
			p.pieces[0] = append(p.pieces[0], plotter.XY{X: float64(from.DaysTo(x.On[j])), Y: place(value)})
			p.last = value
		}
		frame.add(i, p, line.Name)
	}
	return frame.draw(w, f)
}

// guideline marks a value or a day across the plot.
func guideline(a, b plotter.XY) *plotter.Line {
	return &plotter.Line{XYs: plotter.XYs{a, b}, LineStyle: draw.LineStyle{Color: guide, Width: 0.8, Dashes: dashes(1, 2)}}
}
