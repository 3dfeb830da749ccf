package chart

import (
	"fmt"
	"image/color"
	"io"

	"github.com/govalues/decimal"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"wattle/internal/costindex"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// Movers is what moved a cost per foot between two days: a bar for each mover,
// to the right where cost rose and to the left where it fell, and one for the
// rest.
type Movers struct {
	Title  string
	Change costindex.Change
}

// bar is one row of the chart.
type bar struct {
	name  string
	value decimal.Decimal // per foot
	rest  bool
}

// Draw writes the chart. It is an error (Invalid) where nothing moved.
func (m Movers) Draw(w io.Writer, f Format) error {
	v := &fault.List{}
	v.Require(len(m.Change.Movers) > 0, "change", "nothing moved")
	if err := v.Err(); err != nil {
		return err
	}
	var bars []bar
	for _, mover := range m.Change.Movers {
		b := bar{name: mover.Name(), value: mover.Difference.PerFoot}
		if mover.Side != costindex.Both {
			b.name += ", " + mover.Side.String()
		}
		bars = append(bars, b)
	}
	if n := m.Change.Rest.Items; n > 0 {
		bars = append(bars, bar{name: fmt.Sprintf("%d others", n), value: m.Change.Rest.Difference.PerFoot, rest: true})
	}
	note := fmt.Sprintf("%s to %s %s, %s", figure(m.Change.From.PerFoot, false), figure(m.Change.To.PerFoot, false), perFoot(m.Change.Currency), figure(m.Change.Difference.PerFoot, true))
	return onPaper(w, f, func(c draw.Canvas) { drawBars(heading(c, m.Title, note), perFoot(m.Change.Currency), bars) })
}

// figure is money per foot, with a sign where it is a difference.
func figure(d decimal.Decimal, difference bool) string {
	s := money.Fixed(d, costindex.PerFootDecimals)
	if difference && d.IsPos() {
		return "+" + s
	}
	return s
}

// Of a chart of bars.
const (
	mostBarName = 2.4 * vg.Inch
	barGap      = 4 // points between a bar's end and its figure
)

// drawBars draws rows from the top down: a name, a bar, its figure.
func drawBars(c draw.Canvas, unit string, bars []bar) {
	names, figures := plain(labelSize), plain(tickSize)
	var nameWide, figureWide vg.Length
	lines := make([][]string, len(bars))
	low, high := 0.0, 0.0
	for i, b := range bars {
		lines[i] = wrap(b.name, names, mostBarName, 2)
		nameWide = max(nameWide, widest(lines[i], names))
		figureWide = max(figureWide, figures.Width(figure(b.value, true))+2*barGap)
		low, high = min(low, place(b.value)), max(high, place(b.value))
	}
	p := plot.New()
	dress(p)
	p.X.Label.Text = unit
	p.Y.Tick.Marker = plot.ConstantTicks{}
	p.Y.Width = 0
	p.Y.Min, p.Y.Max = 0, float64(len(bars))
	area := draw.Crop(c, nameWide+barGap, 0, 0, 0)
	// Room for the figures, on each side where bars end.
	left, right := vg.Length(0), vg.Length(0)
	if low < 0 {
		left = figureWide
	}
	if high > 0 {
		right = figureWide
	}
	if low == high {
		high = 1
	}
	perPoint := (high - low) / float64(area.Max.X-area.Min.X-left-right-8)
	p.X.Min, p.X.Max = low-perPoint*float64(left), high+perPoint*float64(right)
	p.X.Tick.Marker = within(numbers(low, high), low, high)
	p.Add(&barPlot{bars: bars, lines: lines, nameRight: c.Min.X + nameWide, names: names, figures: figures})
	p.Draw(area)
}

// within are marks between two figures: under the room of figures stands none.
func within(ticks plot.ConstantTicks, low, high float64) (kept plot.ConstantTicks) {
	for _, t := range ticks {
		if t.Value >= low && t.Value <= high {
			kept = append(kept, t)
		}
	}
	return kept
}

type barPlot struct {
	bars           []bar
	lines          [][]string
	nameRight      vg.Length
	names, figures text.Style
}

// Plot draws each bar: dark where cost rose, hatched where it fell, empty for the
// rest.
func (b *barPlot) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	names, figures := b.names, b.figures
	names.XAlign = text.XRight
	for i, bar := range b.bars {
		middle := y(float64(len(b.bars)) - float64(i) - 0.5)
		half := min(7, (y(1)-y(0))*0.36)
		from, to := x(min(0, place(bar.value))), x(max(0, place(bar.value)))
		box := vg.Rectangle{Min: vg.Point{X: from, Y: middle - half}, Max: vg.Point{X: to, Y: middle + half}}
		switch {
		case bar.rest:
			fill(c, box, color.White)
		case bar.value.IsNeg():
			fill(c, box, shades[5])
			hatch(c, box, ink)
		default:
			fill(c, box, shades[0])
		}
		frameBox(c, box)
		at := vg.Point{X: to + barGap, Y: middle}
		figures.XAlign = text.XLeft
		if bar.value.IsNeg() {
			at.X, figures.XAlign = from-barGap, text.XRight
		}
		c.FillText(figures, at, figure(bar.value, true))
		top := middle + lineHeight(names)*vg.Length(len(b.lines[i]))/2
		for n, line := range b.lines[i] {
			c.FillText(names, vg.Point{X: b.nameRight, Y: top - lineHeight(names)*(vg.Length(n)+0.5)}, line)
		}
	}
	c.StrokeLine2(draw.LineStyle{Color: ink, Width: 0.8}, x(0), c.Min.Y, x(0), c.Max.Y)
}
