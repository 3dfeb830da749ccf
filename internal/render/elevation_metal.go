package render

import (
	"strings"

	"wattle/internal/measure"
)

// tintVinyl is lighter than boards and has no colour.
const tintVinyl = "#eef0f1"

// hangFabric draws chain link: a hint of its mesh, and the rails or wires that
// hold it.
func (e *elevationSheet) hangFabric(p pane) {
	d := e.spec.Details
	low := e.clearance()
	top := min(low+d.Length("fabric_height"), e.height)
	e.path(crossed(p.at(0, top), p.at(p.wide(), top), float64(top-low)*p.up), "none", stroke{light, 0.35})
	tube := d.Section("rail_size").Width()
	edge := func(what string, at, railAt measure.Length) {
		switch what {
		case "rail":
			e.stick(p, railAt, tube, white, stroke{dark, 0.5})
		case "wire":
			e.path(p.line(at), "none", stroke{dark, 0.6})
		default:
			e.path(p.line(at), "none", stroke{light, 0.4})
		}
	}
	edge(d["bottom"], low+measure.Inch, low+tube/2)
	edge(d["top"], top, top-tube/2)
	if d.On("mid_rail") {
		e.stick(p, (low+top)/2, tube, white, stroke{dark, 0.5})
	}
}

// barbedHigh is how far the arms for barbed wire reach over the fabric, about.
const barbedHigh = measure.Foot

// barbStrands are those over chain link.
func (e *elevationSheet) barbStrands() int { return min(e.spec.Details.Count("barb_strands"), 50) }

// barbed draws the arms and the strands over chain link.
func (e *elevationSheet) barbed(p pane, strands int) {
	for i := range strands {
		e.strand(p, e.height+barbedHigh*measure.Length(i+1)/measure.Length(strands), true)
	}
	for _, x := range []float64{0, p.wide()} {
		e.line(p.at(x, e.height), p.at(x, e.height+barbedHigh), stroke{dark, 0.8})
	}
}

// strand draws a wire, with barbs where it has some.
func (e *elevationSheet) strand(p pane, height measure.Length, barbs bool) {
	const apart, half = 9, 1.1
	e.path(p.line(height), "none", stroke{dark, 0.5})
	if !barbs {
		return
	}
	var data strings.Builder
	for x := apart / 2.0; x < p.wide(); x += apart {
		at := p.at(x, height)
		data.WriteString("M" + pair(at.add(vec{-half, -half})) + "L" + pair(at.add(vec{half, half})) +
			"M" + pair(at.add(vec{half, -half})) + "L" + pair(at.add(vec{-half, half})))
	}
	e.path(data.String(), "none", stroke{dark, 0.4})
}

// hangWires draws the wires of a wire fence, evenly spaced, and its stays.
func (e *elevationSheet) hangWires(p pane) {
	d := e.spec.Details
	kind, n := d["kind"], min(d.Count("strands"), 50)
	low, high := measure.Length(0), max(e.height-2*measure.Inch, 0)
	if kind == "woven" {
		wires := min(d.Count("woven_wires"), 50)
		top := min(d.Length("woven_height"), e.height)
		for i := range wires {
			e.path(p.line(top*measure.Length(i+1)/measure.Length(wires)), "none", stroke{mid, 0.4})
		}
		if pitch := float64(measure.Foot) * e.across; pitch > 0 && wires > 0 {
			e.path(p.uprights(max(pitch, 4), top/measure.Length(wires), top), "none", stroke{light, 0.4})
		}
		low = top
	}
	for i := range n {
		e.strand(p, low+(high-low)*measure.Length(i+1)/measure.Length(n), kind != "high-tensile")
	}
	if pitch := float64(d.Length("stay_spacing")) * e.across; d.On("stays") && n > 0 && pitch > leastPitch {
		e.path(p.uprights(pitch, high/measure.Length(n), high), "none", stroke{mid, 0.6})
	}
}

// hangSplitRails draws rails, evenly spaced: the posts' mortises say where they
// are.
func (e *elevationSheet) hangSplitRails(p pane) {
	const thick = 4 * measure.Inch
	n := min(e.spec.Details.Count("rails"), 50)
	for i := range n {
		centre := (e.height - thick) * measure.Length(i+1) / measure.Length(n)
		e.stick(p, centre, thick, tintBoards, stroke{wood, 0.6})
	}
}

// hangPanel draws a panel: uprights between rails, or a closed face.
func (e *elevationSheet) hangPanel(p pane) {
	low, top := e.clearance(), e.height
	band := func(from, to measure.Length, fill string, colour string) {
		e.polygon(fill, stroke{colour, 0.6}, p.band(0, p.wide(), from, to)...)
	}
	uprights := func(apart measure.Length, colour string, width float64) {
		e.path(p.uprights(max(float64(apart)*e.across, 3), low, top), "none", stroke{colour, width})
	}
	rail := min(2*measure.Inch, (top-low)/4)
	switch e.spec.Details["material"] {
	case "vinyl":
		band(low, top, tintVinyl, mid)
		uprights(6*measure.Inch, light, 0.4)
		band(low, low+2*rail, white, mid)
		band(top-2*rail, top, white, mid)
	case "wood":
		band(low, top, tintBoards, wood)
		uprights(6*measure.Inch, wood, 0.25)
		for _, h := range []measure.Length{low + (top-low)/6, top - (top-low)/6} {
			e.stick(p, h, 2*rail, "none", stroke{mid, 0.5})
		}
	default:
		uprights(9*measure.Inch/2, mid, 0.5)
		for _, h := range []measure.Length{low + rail*3/2, top - 4*rail, top - rail/2} {
			e.stick(p, h, rail, white, stroke{mid, 0.5})
		}
		e.polygon("none", stroke{mid, 0.6}, p.band(0, p.wide(), low, top)...)
	}
}
