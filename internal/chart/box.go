package chart

import (
	"image/color"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

func fill(c draw.Canvas, box vg.Rectangle, shade color.Color) {
	c.FillPolygon(shade, []vg.Point{box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y}})
}

func frameBox(c draw.Canvas, box vg.Rectangle) {
	c.StrokeLines(draw.LineStyle{Color: ink, Width: 0.5}, []vg.Point{box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y}, box.Min})
}

// hatchStep is how far the lines of a hatching are apart, in points along either
// side. They are the same lines in every box, so that neighbours join.
const hatchStep = 5

// hatch draws the lines x + y = n hatchStep within a box.
func hatch(c draw.Canvas, box vg.Rectangle, ink color.Color) {
	style := draw.LineStyle{Color: ink, Width: 0.5}
	for n := int((box.Min.X + box.Min.Y) / hatchStep); ; n++ {
		sum := vg.Length(n) * hatchStep
		if sum >= box.Max.X+box.Max.Y {
			return
		}
		left, right := max(box.Min.X, sum-box.Max.Y), min(box.Max.X, sum-box.Min.Y)
		if left < right {
			c.StrokeLine2(style, left, sum-left, right, sum-right)
		}
	}
}
