package render

import (
	"math"
	"strings"

	"wattle/internal/site"
)

// shaded is the colour of the hatching over an obstacle's clearance, which text
// covers.
const shaded = "#d9b3ad"

// drawObstacles draws what holes keep away from, as far as it lies in the
// frame: a broken line or a cross, with its clearance hatched lightly. Site
// extents leave obstacles out: a gas main goes on for miles.
func (p *plan) drawObstacles() {
	var areas []shape
	var lines, rings strings.Builder
	for _, o := range p.site.Obstacles {
		path, clearance := p.path(o), p.length(o.Clearance)
		for i, at := range path {
			around := disc{at, clearance}
			areas = append(areas, around)
			p.shade(box{centre: at, width: 2 * clearance, height: 2 * clearance})
			if i > 0 {
				side := lineBox(path[i-1], at, 2*clearance)
				areas = append(areas, side)
				p.shade(side)
				if a, b, in := p.frame.clip(path[i-1], at); in {
					p.mask.fill(lineBox(a, b, 1.5), ink)
				}
			}
		}
		if len(path) == 1 {
			lines.WriteString(p.cross(path[0], 3))
			rings.WriteString(dashed(p.frame, ring(path[0], clearance)))
		}
		lines.WriteString(dashed(p.frame, path))
	}
	if hatch := hatched(p.frame, areas, -math.Pi/4, 5); hatch != "" {
		p.draw.path(hatch, "none", stroke{shaded, 0.4})
	}
	if rings.Len() > 0 {
		p.draw.path(rings.String(), "none", stroke{red, 0.4})
	}
	if lines.Len() > 0 {
		p.draw.path(lines.String(), "none", stroke{red, 1})
	}
}

func (p *plan) path(o site.Obstacle) []vec {
	points := make([]vec, len(o.Path))
	for i, v := range o.Path {
		points[i] = p.at(v)
	}
	return points
}

// shade notes light hatching.
func (p *plan) shade(b box) { p.mask.fill(b, shade) }

// cross is a small upright cross at a place, where it lies in the frame.
func (p *plan) cross(at vec, half float64) string {
	b := box{centre: at, width: 2 * half, height: 2 * half}
	if !p.mask.within(b) {
		return ""
	}
	p.mask.fill(b, ink)
	c := b.corners()
	return "M" + pair(c[0]) + "L" + pair(c[2]) + "M" + pair(c[1]) + "L" + pair(c[3])
}

// ring is a circle as a line through points.
func ring(centre vec, radius float64) []vec {
	const sides = 96
	points := make([]vec, sides+1)
	for i := range points {
		// From the table of a quarter, whose ends are exact.
		turn := i % sides
		s, c := quarter[turn%24], quarter[24-turn%24]
		step := [...]vec{{c, s}, {-s, c}, {-c, -s}, {s, -c}}[turn/24]
		points[i] = centre.add(step.times(radius))
	}
	return points
}

// labelObstacles names every obstacle with its clearance.
func (p *plan) labelObstacles() {
	for _, o := range p.site.Obstacles {
		path := p.path(o)
		if len(path) == 0 {
			continue
		}
		clear := ", clear by " + p.units.tape(o.Clearance)
		placed, where := false, ""
		for _, name := range nameForms(o.ID) {
			l := newLabel(name+clear, labelSize)
			l.colour = red
			spots, seen := p.besidePath(path, l)
			if !seen {
				where = ": not on the drawing"
				break
			}
			if placed = p.place(l, spots); placed {
				break
			}
		}
		if !placed {
			p.listed = append(p.listed, "Obstacle "+shortened(o.ID, labelSize, longestName)+clear+where)
		}
	}
}

// besidePath are spots for a label along what of a path lies in the frame, and
// whether any of it does.
func (p *plan) besidePath(path []vec, l label) (spots []spot, seen bool) {
	if len(path) == 1 {
		if !p.mask.within(box{centre: path[0]}) {
			return nil, false
		}
		return around(path[0], vec{1, 0}, l, 6, 90, false), true
	}
	const apart, most = 23, 60
	for i := 1; i < len(path); i++ {
		a, b, in := p.frame.clip(path[i-1], path[i])
		if !in {
			continue
		}
		seen = true
		d, long := b.sub(a).unit(), b.sub(a).length()
		off := d.left().times(3.5 + l.box.height/2)
		for at := l.box.width/2 + 2; at < long-l.box.width/2 && len(spots) < most; at += apart {
			middle := a.add(d.times(at))
			spots = append(spots, spot{centre: middle.add(off), angle: d.upright()}, spot{centre: middle.sub(off), angle: d.upright()})
		}
	}
	for i := 1; i < len(path); i++ {
		if a, b, in := p.frame.clip(path[i-1], path[i]); in {
			return append(spots, around(a.towards(b, 0.5), vec{1, 0}, l, 8, 90, true)...), true
		}
	}
	return spots, seen
}
