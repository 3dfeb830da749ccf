package chart

import (
	"io"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"wattle/internal/costindex"
	"wattle/internal/fault"
	"wattle/internal/money"
)

// Stack is the components of one cost per foot over time, stacked in steps, the
// first part lowest.
type Stack struct {
	Title    string
	Currency money.Currency
	Series   costindex.Series
}

// mostParts is as many as can be told apart.
var mostParts = len(shades)

// Draw writes the chart. It is an error (Invalid) where there is nothing to draw,
// a series is out of order, there are more than eight parts, or one is below 0.
func (s Stack) Draw(w io.Writer, f Format) error {
	v := &fault.List{}
	s.Series.Validate(v.At("series"))
	v.Require(len(s.Series.Parts) <= mostParts, "series.parts", "%d of them; at most %d can be told apart", len(s.Series.Parts), mostParts)
	last := -1
	for i, step := range s.Series.Steps {
		for part, value := range step.Parts {
			v.At("series.steps").Index(i).At("parts").Index(part).Require(!value.IsNeg(), "", "%v; a stack has no part below 0", value)
		}
		if !step.Gap() {
			last = i
		}
	}
	v.Require(last >= 0 || v.Len() > 0, "series", "it has no value on any day")
	if err := v.Err(); err != nil {
		return err
	}
	from := s.Series.Steps[0].From
	area := &stacked{}
	high := 0.0
	for i, step := range s.Series.Steps {
		block := block{from: float64(from.DaysTo(step.From)), to: float64(from.DaysTo(endOf(s.Series, i)))}
		top := 0.0
		for _, value := range step.Parts {
			top += place(value)
			block.tops = append(block.tops, top)
		}
		high = max(high, top)
		area.blocks = append(area.blocks, block)
	}
	_, high = roomy(0, high)
	frame := overTime(s.Title, perFoot(s.Currency), from, s.Series.To, 0, high)
	frame.plot.Add(area)
	end := area.blocks[last]
	below := 0.0
	for part, top := range end.tops {
		frame.names = append(frame.names, name{s.Series.Parts[part], s.Series.Steps[last].Parts[part], end.to, (below + top) / 2, func(c draw.Canvas, box vg.Rectangle) {
			fill(c, box, shades[part])
			frameBox(c, box)
		}})
		below = top
	}
	return frame.draw(w, f)
}

// block is one step of a stack: the top of each part above 0. A gap has none.
type block struct {
	from, to float64
	tops     []float64
}

// stacked draws blocks side by side.
type stacked struct{ blocks []block }

// Plot draws each part's shade and the outline of its top, over each run of blocks
// without a gap at once, so that no seam shows between two.
func (s *stacked) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	for start := 0; start < len(s.blocks); {
		end := start
		for end < len(s.blocks) && len(s.blocks[end].tops) > 0 {
			end++
		}
		run := s.blocks[start:end]
		start = end + 1
		if len(run) == 0 {
			continue
		}
		below := []vg.Point{{X: x(run[0].from), Y: y(0)}, {X: x(run[len(run)-1].to), Y: y(0)}}
		for part := range run[0].tops {
			var top []vg.Point
			for _, b := range run {
				top = append(top, vg.Point{X: x(b.from), Y: y(b.tops[part])}, vg.Point{X: x(b.to), Y: y(b.tops[part])})
			}
			outline := slices.Clone(top)
			slices.Reverse(below)
			c.FillPolygon(shades[part], append(top, below...))
			below = outline
		}
		for part := range run[0].tops {
			var top []vg.Point
			for _, b := range run {
				top = append(top, vg.Point{X: x(b.from), Y: y(b.tops[part])}, vg.Point{X: x(b.to), Y: y(b.tops[part])})
			}
			c.StrokeLines(draw.LineStyle{Color: ink, Width: 0.5}, top)
		}
	}
}
