package render

import (
	"strings"

	"wattle/internal/measure"
)

// drawCut marks where the run goes on in another strip, which has the post, and
// where a closed run comes back to its first post.
func (e *elevationSheet) drawCut(s *strip) {
	var v visited
	switch _, end := e.ends(); {
	case s.past < len(e.walk) && e.walk[s.past].station == s.to:
		v = e.walk[s.past]
	case e.fence.Closed && s.to == end && len(e.walk) > 0 && e.walk[0].station == 0:
		v = visited{e.walk[0].post, s.to}
	default:
		return
	}
	p := e.post(v)
	top, grade := e.at(s, v.station, p.Top()), e.at(s, v.station, p.Ground)
	half := e.halfPost(p)
	e.dashed("M"+pair(grade.add(vec{-half, 0}))+"V"+number(top.y)+"H"+number(top.x+half)+"V"+number(grade.y), stroke{mid, 0.6})
	e.mask.fill(lineBox(top, grade, 2*half+2), ink)
}

// drawWalls hatches the walls that the run is tied in to.
func (e *elevationSheet) drawWalls(s *strip) {
	if e.fence.Closed {
		return
	}
	wall := func(station measure.Length, side float64) {
		const deep, apart = 6, 4
		grade := e.at(s, station, e.ground.At(station))
		top := e.at(s, station, e.ground.At(station)+e.height).add(vec{0, -6})
		e.line(grade, top, stroke{dark, 1.4})
		var hatch strings.Builder
		for y := top.y; y < grade.y-apart; y += apart {
			hatch.WriteString("M" + pair(vec{grade.x, y}) + "l" + number(side*deep) + " " + number(apart))
		}
		e.path(hatch.String(), "none", stroke{mid, 0.6})
		e.mask.fill(lineBox(grade.add(vec{side * deep / 2, 0}), top.add(vec{side * deep / 2, 0}), deep+1), ink)
		l := newLabel("wall", labelSize)
		l.colour = mid
		e.place(l, s, top.add(vec{side * (l.box.width/2 - 1), -7}))
	}
	if e.fence.Start.TieIn && s.from <= 0 && s.to > 0 {
		wall(0, -1)
	}
	if length := e.fence.Length(); e.fence.End.TieIn && s.to == length {
		wall(length, 1)
	}
}

// drawHeights dimensions the fence and the first hole at the left end of level
// ground; on other ground stand elevations there.
func (e *elevationSheet) drawHeights(s *strip) {
	if !e.level || s.first >= s.past {
		return
	}
	p := e.post(e.walk[s.first])
	x := s.left - max(17, e.besideHole(s)+3)
	dimension := func(from, to measure.Length) {
		a, b := e.at(s, s.from, from), e.at(s, s.from, to)
		a.x, b.x = x, x
		l := newLabel(tape(to-from), baySize)
		if to <= from || !e.mask.within(lineBox(a, b, 4)) {
			return
		}
		e.line(a, b, stroke{mid, 0.5})
		for _, end := range []vec{a, b} {
			e.line(end.sub(vec{3, 0}), end.add(vec{3, 0}), stroke{mid, 0.5})
		}
		e.mask.fill(lineBox(a, b, 1), ink)
		e.place(l, s, vec{x - 3 - l.box.width/2, (a.y + b.y) / 2})
	}
	dimension(p.Ground, p.Top())
	dimension(p.Ground-p.Hole.Depth, p.Ground)
}
