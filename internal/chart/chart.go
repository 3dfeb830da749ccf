// Package chart draws cost over time, index numbers and what moved, as SVG or
// PNG, for a page of Letter or A4. Every line has its name at its end, so that no
// box of colours has to be read, and lines differ by grey, dash and mark, so that
// they survive a printer without colour. The same input gives the same bytes; on
// another kind of processor a PNG may differ by a shade, where the picture's edges
// are smoothed.
//
// Floats are used for places on paper only; no figure is changed. Text that people
// gave is printed without control characters.
package chart

import (
	"bytes"
	"image/color"
	"io"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"

	"wattle/internal/fault"
)

// Format is a kind of file.
type Format int

const (
	SVG Format = iota
	PNG
)

// A chart fits across a portrait page of Letter or A4 within margins of half an
// inch.
const (
	width  = 7.2 * vg.Inch
	height = 4.5 * vg.Inch
	margin = 8 // points, around all of it
	dpi    = 192
)

// onPaper writes what paint draws.
func onPaper(w io.Writer, f Format, paint func(draw.Canvas)) error {
	var canvas vg.CanvasWriterTo
	switch f {
	case SVG:
		canvas = vgsvg.New(width, height)
	case PNG:
		canvas = vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(width, height), vgimg.UseDPI(dpi))}
	default:
		return fault.New(fault.Invalid, "INVALID_REQUEST", "format %d is none; expected SVG or PNG", int(f))
	}
	c := draw.New(canvas)
	c.SetColor(color.White)
	c.Fill(c.Path())
	paint(draw.Crop(c, margin, -margin, margin, -margin))
	var file bytes.Buffer
	if _, err := canvas.WriteTo(&file); err != nil {
		return err
	}
	_, err := w.Write(withOtherFonts(file.Bytes()))
	return err
}

// withOtherFonts names fonts of the same widths for whoever has not the first. A
// text cannot hold the quotation mark of the attribute, which is escaped there.
func withOtherFonts(file []byte) []byte {
	return bytes.ReplaceAll(file, []byte(`style="font-family:Liberation Sans;`), []byte(`style="font-family:Liberation Sans,Arimo,Arial,Helvetica,sans-serif;`))
}
