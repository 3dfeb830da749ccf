package render

import (
	"math"

	"wattle/internal/measure"
)

// Room kept on the sheet of an elevation, in points.
const (
	elevationMargin = 30
	elevationHead   = 38
	elevationFoot   = 46 // with one row of legend
	gutter          = 54 // left of a strip: names of the table's rows, elevations
	rightRoom       = 14
	nameRow         = 11 // the strip's stations, where there are several
	aboveRoom       = 10 // over the fence; more where there are gates, turns or steps
	marksRoom       = 22
	belowRoom       = 12 // under the holes; more where there are keep-outs
	tableRow        = 9
	stripGap        = 8
)

// elevationScale is how an elevation is drawn to scale.
type elevationScale struct {
	// feetPerInch is the horizontal scale as printed, times how much larger the
	// vertical one is; across and up the same in points per nanometre.
	feetPerInch, times, across, up float64
}

func (e *elevationSheet) roomAcross() float64 {
	return e.size.x - 2*elevationMargin - gutter - rightRoom
}

func (e *elevationSheet) roomDown() float64 {
	return e.size.y - 2*elevationMargin - elevationHead - e.foot
}

// ends are the first and the last station to draw.
func (e *elevationSheet) ends() (from, to measure.Length) {
	to = e.fence.Length()
	if n := len(e.walk); n > 0 {
		from, to = min(from, e.walk[0].station), max(to, e.walk[n-1].station)
	}
	return from, max(to, from+measure.Foot)
}

// chooseScale takes equal scales. One strip is tried first; a smaller part of
// the run to the strip while the fence would be low on paper and all strips
// still fit one sheet, and in any case until three of four bays can be read. A
// fence that is too low even so is drawn higher than long.
func (e *elevationSheet) chooseScale() {
	const (
		mostStrips = 400 // a longer run is drawn smaller
		clear      = 40  // height of a fence that is easy to see
		least      = 30
	)
	i := 0
	for e.setScale(i, 1); len(e.strips) > 1 || !e.fits(); e.setScale(i, 1) {
		i++
	}
	for i > 0 && float64(e.height)*e.up < clear {
		if e.setScale(i-1, 1); !e.fits() || e.sheets() > 1 {
			e.setScale(i, 1)
			break
		}
		i--
	}
	for ; i > 0 && roundScale(i) > 5 && !e.legible(); e.setScale(i, 1) {
		i--
	}
	for len(e.strips) > mostStrips || !e.fits() {
		i++
		e.setScale(i, 1)
	}
	for _, times := range []float64{1.5, 2, 3, 4, 5, 6, 8, 10} {
		before := e.times
		if float64(e.height)*e.up >= least {
			break
		}
		if e.setScale(i, times); !e.fits() {
			e.setScale(i, before)
			break
		}
	}
}

// roundScale is the i-th of the round scales, in feet to the inch.
func roundScale(i int) float64 {
	scales := []float64{1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8}
	return scales[i%len(scales)] * math.Pow10(i/len(scales))
}

// setScale takes the i-th scale and cuts the run into strips for it.
func (e *elevationSheet) setScale(i int, times float64) {
	e.feetPerInch, e.times = roundScale(i), times
	e.across = 72 / (e.feetPerInch * float64(measure.Foot))
	e.up = e.across * times
	e.strips = e.cut()
}

// legible reports whether three of four bays have room for their widths, which
// stand in two rows, and for the columns of their posts.
func (e *elevationSheet) legible() bool {
	const column = 24
	wide := 0
	for i, b := range e.bays {
		if float64(b.to-b.from)*e.across >= max(e.bayRoom[i]/2, column) {
			wide++
		}
	}
	return wide*4 >= len(e.bays)*3
}

// fits reports whether every strip fits a sheet.
func (e *elevationSheet) fits() bool {
	for _, s := range e.strips {
		if s.height > e.roomDown() {
			return false
		}
	}
	return true
}
