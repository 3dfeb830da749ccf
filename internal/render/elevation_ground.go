package render

import (
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
)

// Tints that differ in lightness; what they mean is hatched or dotted as well.
const (
	tintConcrete = "#e2e5e7"
	tintBoards   = "#f4efe6"
	tintFill     = "#cfc3ae"
)

// drawStrip draws one strip from the ground up, then what is written on it.
func (e *elevationSheet) drawStrip(s *strip) {
	e.drawLevels(s)
	grade := e.drawGround(s)
	e.drawBarred(s)
	for _, v := range e.walk[s.first:s.past] {
		e.drawHole(s, v.station, e.post(v))
	}
	for _, b := range within(e.bays, s) {
		e.drawBay(s, b)
	}
	for _, g := range e.gates {
		e.drawGate(s, g)
	}
	e.path(grade, "none", stroke{dark, 1.2})
	for _, v := range e.walk[s.first:s.past] {
		e.drawPost(s, v.station, e.post(v))
		e.drawn = append(e.drawn, v)
	}
	e.drawCut(s)
	e.drawWalls(s)
	e.drawHeights(s)

	e.nameStrip(s)
	e.markLevels(s)
	e.drawTable(s)
	e.markSteps(s)
	e.markGates(s)
	e.markRollers(s)
	e.markTurns(s)
	e.markFills(s)
	e.markBarred(s)
}

// profile is the ground line of a strip on paper.
func (e *elevationSheet) profile(s *strip, from, to measure.Length) []vec {
	points := []vec{e.at(s, from, e.ground.At(from))}
	for _, b := range e.ground.Breaks(from, to) {
		points = append(points, e.at(s, b.Station, b.Elevation))
	}
	return append(points, e.at(s, to, e.ground.At(to)))
}

// drawGround hatches below grade, and returns the line of grade, which is drawn
// over the fence: where the ground rises above the lower ends of boards, that
// can be seen.
func (e *elevationSheet) drawGround(s *strip) (grade string) {
	const apart, deep = 6, 4
	line := e.profile(s, s.from, s.to)
	// The ground goes on a little beyond the fence.
	if s.from <= 0 {
		line = append([]vec{line[0].sub(vec{8, 0})}, line...)
	}
	if _, end := e.ends(); s.to == end {
		line = append(line, line[len(line)-1].add(vec{8, 0}))
	}
	var data, hatch strings.Builder
	at := line[0].x + apart/2
	for i, p := range line {
		data.WriteString(string("ML"[min(i, 1)]) + pair(p))
		if i == 0 {
			continue
		}
		a := line[i-1]
		e.fillBelow(a, p, deep)
		for ; at < p.x; at += apart {
			foot := a.towards(p, (at-a.x)/(p.x-a.x))
			hatch.WriteString("M" + pair(foot) + "L" + pair(foot.add(vec{-deep, deep})))
		}
	}
	e.path(hatch.String(), "none", stroke{mid, 0.5})
	return data.String()
}

// drawBarred hatches below ground where no hole may be dug.
func (e *elevationSheet) drawBarred(s *strip) {
	for _, b := range e.barred {
		from, to := max(b.From, s.from), min(b.To, s.to)
		if from >= to {
			continue
		}
		line := e.profile(s, from, to)
		deep := e.deepest(s)
		var data strings.Builder
		for i, p := range line {
			data.WriteString(string("ML"[min(i, 1)]) + pair(p))
		}
		last, first := line[len(line)-1], line[0]
		data.WriteString("L" + pair(last.add(vec{0, deep})) + "L" + pair(first.add(vec{0, deep})) + "Z")
		e.path(data.String(), white, stroke{dark, 0.6})
		e.path(crossed(first, last, deep), "none", stroke{mid, 0.5})
		for i := 1; i < len(line); i++ {
			e.fillBelow(line[i-1], line[i], deep)
		}
	}
}

// crossed is cross hatching in the parallelogram that hangs so deep below the
// line from a to b.
func crossed(a, b vec, deep float64) string {
	const apart = 5.0
	var data strings.Builder
	wide := b.x - a.x
	if wide < 0.01 {
		return ""
	}
	inside := func(u, v float64) vec { return a.towards(b, u/wide).add(vec{0, v}) }
	for c := apart / 2; c < wide+deep; c += apart {
		// u + v = c, from the left or lower side to the upper or right one; then
		// mirrored.
		u0, u1 := max(0, c-deep), min(wide, c)
		data.WriteString("M" + pair(inside(u0, c-u0)) + "L" + pair(inside(u1, c-u1)))
		data.WriteString("M" + pair(inside(wide-u0, c-u0)) + "L" + pair(inside(wide-u1, c-u1)))
	}
	return data.String()
}

// deepest is how deep the deepest hole of a strip is on paper, 3 ft where there
// is none.
func (e *elevationSheet) deepest(s *strip) float64 {
	var deep measure.Length
	for _, v := range e.walk[s.first:s.past] {
		deep = max(deep, e.post(v).Hole.Depth)
	}
	if deep == 0 {
		deep = 3 * measure.Foot
	}
	return min(float64(deep)*e.up, s.base-s.top)
}

// drawHole draws a hole to its depth: gravel at the foot, concrete around the
// post where there is some.
func (e *elevationSheet) drawHole(s *strip, station measure.Length, p layout.Post) {
	if p.Existing || p.Hole.Depth <= 0 || p.Hole.Driven() {
		return
	}
	grade := e.at(s, station, p.Ground)
	half := min(float64(p.Hole.Diameter)*e.across/2, e.size.x)
	bottom := float64(p.Hole.Depth) * e.up
	gravel := min(float64(p.Hole.Gravel)*e.up, bottom)
	rectangle := func(fill string, line stroke, from, to float64) {
		e.polygon(fill, line, grade.add(vec{-half, from}), grade.add(vec{half, from}), grade.add(vec{half, to}), grade.add(vec{-half, to}))
	}
	rectangle(white, stroke{}, 0.6, bottom)
	if e.spec.Concrete.Set.Poured() {
		from := max(float64(e.spec.Concrete.StopBelowGrade)*e.up, 0.6)
		if to := bottom - gravel; from < to {
			rectangle(tintConcrete, stroke{}, from, to)
			e.path(slanted(grade.add(vec{-half, from}), 2*half, to-from), "none", stroke{light, 0.4})
		}
	}
	if gravel > 0 {
		e.path(dotted(grade.add(vec{-half, bottom - gravel}), 2*half, gravel), mid, stroke{})
	}
	outline := grade.add(vec{-half, 0.6})
	e.dashed("M"+pair(outline)+"V"+number(grade.y+bottom)+"H"+number(grade.x+half)+"V"+number(outline.y), stroke{dark, 0.6})
	e.mask.fill(box{grade.add(vec{0, bottom / 2}), 2*half + 1, bottom + 1, 0}, ink)
}

// slanted is light hatching in a rectangle.
func slanted(corner vec, wide, tall float64) string {
	const apart = 4
	var data strings.Builder
	for c := apart / 2.0; c < wide+tall; c += apart {
		u0, u1 := max(0, c-tall), min(wide, c)
		data.WriteString("M" + pair(corner.add(vec{u0, c - u0})) + "L" + pair(corner.add(vec{u1, c - u1})))
	}
	return data.String()
}

// dotted is small stones in a rectangle.
func dotted(corner vec, wide, tall float64) string {
	const apart, stone = 2.6, 1.1
	var data strings.Builder
	row := 0
	for y := apart / 2; y < tall || row == 0; y += apart {
		for x := apart/2 + float64(row%2)*apart/2; x < wide; x += apart {
			at := corner.add(vec{x - stone/2, min(y, tall/2+y/2) - stone/2})
			data.WriteString("M" + pair(at) + "h1.1v1.1h-1.1z")
		}
		row++
	}
	return data.String()
}

// dashed strokes a path with dashes.
func (e *elevationSheet) dashed(data string, s stroke) {
	e.shapes = append(e.shapes, Mark{Path: data, Fill: "none", Stroke: s.colour, Width: s.width, Dashed: true})
}
