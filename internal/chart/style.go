package chart

import (
	"image/color"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

var (
	ink   = color.Gray{Y: 0x22}
	faint = color.Gray{Y: 0xdd}
	guide = color.Gray{Y: 0x99}
)

// stroke is how a line is told from others, with and without colour.
type stroke struct {
	color  color.Color
	dashes []vg.Length
	mark   draw.GlyphDrawer
}

// Colours are dark enough for a line on white and not red beside green; without
// colour, greys, dashes and marks tell.
var strokes = []stroke{
	{color.RGBA{0x00, 0x00, 0x00, 0xff}, nil, draw.CircleGlyph{}},
	{color.RGBA{0x1f, 0x5a, 0x96, 0xff}, dashes(6, 2), draw.SquareGlyph{}},
	{color.RGBA{0xe0, 0x7a, 0x1f, 0xff}, dashes(2, 2), draw.TriangleGlyph{}},
	{color.RGBA{0x00, 0x8a, 0x60, 0xff}, dashes(8, 2, 2, 2), draw.RingGlyph{}},
	{color.RGBA{0x99, 0x4f, 0x7c, 0xff}, dashes(1, 1.5), draw.BoxGlyph{}},
	{color.Gray{Y: 0x77}, nil, draw.PyramidGlyph{}},
}

func dashes(points ...vg.Length) []vg.Length { return points }

// strokeOf is that of the n-th line; after the last they begin again, thinner.
func strokeOf(n int) (s stroke, thickness vg.Length) {
	thickness = 1.4
	if n >= len(strokes) {
		thickness = 0.7
	}
	return strokes[n%len(strokes)], thickness
}

// mostLines is as many as can be told apart.
var mostLines = 2 * len(strokes)

// shades fill the parts of a stack, so that neighbours differ much in grey.
var shades = []color.RGBA{
	{0x2f, 0x4b, 0x5f, 0xff}, {0xd9, 0xc7, 0xa3, 0xff}, {0x7d, 0x8f, 0x69, 0xff}, {0xee, 0xee, 0xe6, 0xff},
	{0x9a, 0x6b, 0x4f, 0xff}, {0xc3, 0xd3, 0xdd, 0xff}, {0x5f, 0x5a, 0x6e, 0xff}, {0xe4, 0xb9, 0xa0, 0xff},
}
