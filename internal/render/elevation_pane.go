package render

import (
	"strings"

	"wattle/internal/measure"
	"wattle/internal/spec"
)

// pane is a piece of fence or a gate leaf on paper, between two upright lines.
// Its lines run along the line of tops from a to z, so many heights below it.
type pane struct {
	a, z   vec
	height measure.Length // of the line of tops, over grade
	up     float64        // points per nanometre
}

func (p pane) wide() float64 { return p.z.x - p.a.x }

// at is the place of a height over grade, x points from the left.
func (p pane) at(x float64, height measure.Length) vec {
	return p.a.towards(p.z, x/p.wide()).add(vec{0, float64(p.height-height) * p.up})
}

// band is what lies between two heights, from one x to another.
func (p pane) band(from, to float64, low, high measure.Length) []vec {
	return []vec{p.at(from, high), p.at(to, high), p.at(to, low), p.at(from, low)}
}

// line is a path along the pane at a height.
func (p pane) line(height measure.Length) string {
	return "M" + pair(p.at(0, height)) + "L" + pair(p.at(p.wide(), height))
}

// uprights are upright lines every so many points, between two heights.
func (p pane) uprights(pitch float64, low, high measure.Length) string {
	var data strings.Builder
	for x := pitch; x < p.wide()-0.01; x += pitch {
		top := p.at(x, high)
		data.WriteString("M" + pair(top) + "V" + number(top.y+float64(high-low)*p.up))
	}
	return data.String()
}

// hangings draw what hangs between the posts, by family: a schematic that tells
// one kind of fence from another.
var hangings = map[spec.Family]func(*elevationSheet, pane){
	spec.VerticalBoards:   (*elevationSheet).hangBoards,
	spec.HorizontalBoards: (*elevationSheet).hangCourses,
	spec.ChainLink:        (*elevationSheet).hangFabric,
	spec.Panels:           (*elevationSheet).hangPanel,
	spec.SplitRail:        (*elevationSheet).hangSplitRails,
	spec.Wire:             (*elevationSheet).hangWires,
}

// hang draws what hangs in a pane.
func (e *elevationSheet) hang(p pane) {
	if draw := hangings[e.spec.Family]; draw != nil {
		draw(e, p)
		return
	}
	e.hangBoards(p)
}

// hungWords are what the legend calls what hangs: boards speak for themselves.
func (e *elevationSheet) hungWords() string {
	d := e.spec.Details
	switch e.spec.Family {
	case spec.ChainLink:
		return "chain link fabric" + barbedOver(d.Count("barb_strands"))
	case spec.Panels:
		return "panel"
	case spec.SplitRail:
		return "split rail"
	case spec.Wire:
		switch n := d.Count("strands"); d["kind"] {
		case "woven":
			return "woven wire" + barbedOver(n)
		case "high-tensile":
			return counted(n, "high tensile wire")
		default:
			return counted(n, "strand") + " of barbed wire"
		}
	default:
		return ""
	}
}

func barbedOver(strands int) string {
	if strands == 0 {
		return ""
	}
	return ", " + counted(strands, "barbed strand") + " over it"
}

// stick draws something long that lies at a height, as thick as it is where that
// can be seen.
func (e *elevationSheet) stick(p pane, centre, thick measure.Length, fill string, s stroke) {
	if half := float64(thick) * p.up / 2; half < 1 {
		e.path(p.line(centre), "none", stroke{s.colour, max(2*half, 0.8)})
		return
	}
	e.polygon(fill, s, p.band(0, p.wide(), centre-thick/2, centre+thick/2)...)
}

// hungSign is a small piece of what hangs, for the legend.
func (e *elevationSheet) hungSign(low, high vec) {
	whole := *e
	whole.spec.GroundClearance = new(measure.Length(0))
	p := pane{low, vec{high.x, low.y}, whole.height, (high.y - low.y) / float64(whole.height)}
	whole.across = p.up
	whole.svg = svg{}
	whole.hang(p)
	e.shapes = append(e.shapes, whole.shapes...)
}
