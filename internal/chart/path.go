package chart

import (
	"github.com/govalues/decimal"
	"gonum.org/v1/plot/plotter"

	"wattle/internal/civil"
	"wattle/internal/costindex"
)

// path is a line in pieces, between which there are gaps.
type path struct {
	pieces []plotter.XYs
	kind   plotter.StepKind
	last   decimal.Decimal // its last value
}

// stepsOf is the total of a series in days from an origin. A step is drawn to the
// beginning of the next, the last one to the end of the series' last day.
func stepsOf(s costindex.Series, origin civil.Date) path {
	p := path{kind: plotter.PostStep}
	open := false
	for i, step := range s.Steps {
		total, ok := costindex.Total(step.Parts)
		if !ok {
			open = false
			continue
		}
		if !open {
			p.pieces = append(p.pieces, nil)
			open = true
		}
		piece := &p.pieces[len(p.pieces)-1]
		from, until, y := float64(origin.DaysTo(step.From)), float64(origin.DaysTo(endOf(s, i))), place(total)
		*piece = append(*piece, plotter.XY{X: from, Y: y})
		if i+1 == len(s.Steps) || s.Steps[i+1].Gap() {
			*piece = append(*piece, plotter.XY{X: until, Y: y})
		}
		p.last = total
	}
	return p
}

// endOf is the day on which the n-th step holds no more.
func endOf(s costindex.Series, n int) civil.Date {
	if n+1 < len(s.Steps) {
		return s.Steps[n+1].From
	}
	return s.To.AddDays(1)
}

// place is a figure as a place on paper.
func place(d decimal.Decimal) float64 {
	x, _ := d.Float64()
	return x
}
