package render

import (
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// chooseSides puts dimensions on the outside of what a run encloses, or of a
// straight run to the north (west where it runs north).
func (p *plan) chooseSides() {
	p.outside = make([]site.Side, len(p.site.Runs))
	for i, r := range p.site.Runs {
		area := 0.0
		points := make([]vec, len(r.Vertices))
		for j, v := range r.Vertices {
			points[j] = p.at(v)
		}
		for j, a := range points {
			b := points[(j+1)%len(points)]
			a, b = a.sub(points[0]), b.sub(points[0])
			area += a.x*b.y - a.y*b.x
		}
		switch {
		case area < -1: // the run turns left on the ground
			p.outside[i] = site.Right
		case area > 1:
			p.outside[i] = site.Left
		case len(points) > 0:
			left := points[len(points)-1].sub(points[0]).left()
			if left.y > 1e-6 || (left.y > -1e-6 && left.x > 0) {
				p.outside[i] = site.Right
			}
		}
	}
}

// out is the step of length one to the outside of a run that goes along d.
func (p *plan) out(run int, d vec) vec { return sideOf(d, p.outside[run]) }

func sideOf(d vec, side site.Side) vec {
	if side == site.Left {
		return d.left()
	}
	return d.left().times(-1)
}

// measurePosts works out how much room each post has.
func (p *plan) measurePosts() {
	p.reach = make([]float64, len(p.layout.Posts))
	near := func(a, b int) {
		d := p.at(p.layout.Posts[a].At).sub(p.at(p.layout.Posts[b].At)).length()
		for _, i := range []int{a, b} {
			if p.reach[i] == 0 || d < p.reach[i] {
				p.reach[i] = d
			}
		}
	}
	for _, b := range p.layout.Bays {
		near(b.Start, b.End)
	}
	for _, o := range p.layout.Openings {
		near(o.Start, o.End)
	}
}

// ends are where a stretch's fixed posts stand on paper.
func (p *plan) ends(s layout.Stretch) (a, b vec) {
	return p.at(p.layout.Posts[s.StartEnd.Post].At), p.at(p.layout.Posts[s.FinishEnd.Post].At)
}

// bayEnds are where the posts of a bay stand on paper.
func (p *plan) bayEnds(b layout.Bay) (from, to vec) {
	return p.at(p.layout.Posts[b.Start].At), p.at(p.layout.Posts[b.End].At)
}

// half is how far a post that a bay or stretch starts at reaches from the line
// on paper, where labels begin.
func (p *plan) half(post int) float64 { return max(p.length(p.layout.Posts[post].Width)/2, 2) }

// way is where a run goes on paper between two stations; what lies past its
// ends is left out, and none is left of what lies outside altogether.
func (p *plan) way(run int, from, to measure.Length) []vec {
	if run < 0 || run >= len(p.legs) || len(p.legs[run]) == 0 {
		return nil
	}
	legs := p.legs[run]
	from, to = max(from, 0), min(to, legs[len(legs)-1].End)
	if from >= to {
		return nil
	}
	i := site.LegAt(legs, from)
	points := []vec{p.at(legs[i].At(from))}
	for ; i < len(legs) && legs[i].End < to; i++ {
		points = append(points, p.at(legs[i].To))
	}
	return append(points, p.at(legs[min(i, len(legs)-1)].At(to)))
}

// parallel is the line beside points, so far to the left on the ground; none
// where it would fold back on itself.
func parallel(points []vec, off float64) []vec {
	beside := make([]vec, len(points))
	for i, at := range points {
		before, after := points[max(i-1, 0)], points[min(i+1, len(points)-1)]
		a, b := at.sub(before), after.sub(at)
		if i == 0 {
			a = b
		}
		if i == len(points)-1 {
			b = a
		}
		a, b = a.unit().left(), b.unit().left()
		n := a.add(b).unit()
		// A mitre, but at a sharp turn no longer than three times the step.
		beside[i] = at.add(n.times(off / max(n.x*a.x+n.y*a.y, 1.0/3)))
		if i > 0 {
			step, was := beside[i].sub(beside[i-1]), at.sub(before)
			if step.x*was.x+step.y*was.y <= 0 {
				return nil
			}
		}
	}
	return beside
}

// partway is where a part of a line of points by length lies behind, and its
// direction there.
func partway(points []vec, part float64) (at, d vec) {
	whole := 0.0
	for i := 1; i < len(points); i++ {
		whole += points[i].sub(points[i-1]).length()
	}
	rest := whole * part
	for i := 1; i < len(points); i++ {
		step := points[i].sub(points[i-1])
		if long := step.length(); rest <= long || i == len(points)-1 {
			return points[i-1].add(step.unit().times(min(rest, long))), step.unit()
		}
		rest -= step.length()
	}
	return points[0], vec{1, 0}
}
