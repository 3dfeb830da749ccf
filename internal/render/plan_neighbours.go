package render

import (
	"strings"

	"wattle/internal/site"
)

// besideRun is where a neighbouring fence stands on paper: at its gap, but
// never so near that it cannot be told from the fence.
func (p *plan) besideRun(run int, n site.Neighbour) (way []vec, spread bool) {
	least := p.barredHalf[run] + 2
	off := p.length(n.Gap)
	if off < least {
		off, spread = least, true
	}
	if n.Side == site.Right {
		off = -off
	}
	if way = p.way(run, n.From, n.To); len(way) < 2 {
		return nil, false
	}
	if beside := parallel(way, off); beside != nil {
		return beside, spread
	}
	// The gap is wider than the run's bends: each leg for itself.
	var beside []vec
	for i := 1; i < len(way); i++ {
		beside = append(beside, parallel(way[i-1:i+1], off)...)
	}
	return beside, spread
}

// drawNeighbours draws the fences that stand beside a run: a thin line with
// small crosses.
func (p *plan) drawNeighbours() {
	const apart = 18
	var path strings.Builder
	for i, r := range p.site.Runs {
		for _, n := range r.Neighbours {
			beside, spread := p.besideRun(i, n)
			p.spread = p.spread || spread
			for j := 1; j < len(beside); j++ {
				a, b, in := p.frame.clip(beside[j-1], beside[j])
				if !in {
					continue
				}
				path.WriteString("M" + pair(a) + "L" + pair(b))
				p.mask.fill(lineBox(a, b, 1.5), ink|built)
				d, long := b.sub(a).unit(), b.sub(a).length()
				for at := min(apart/2, long/2); at < long; at += apart {
					path.WriteString(p.cross(a.add(d.times(at)), 1.7))
				}
			}
		}
	}
	if path.Len() > 0 {
		p.draw.path(path.String(), "none", stroke{mid, 0.6})
	}
}

// labelNeighbours writes how far off a neighbouring fence stands.
func (p *plan) labelNeighbours() {
	for i, r := range p.site.Runs {
		for _, n := range r.Neighbours {
			l := newLabel("existing fence, "+p.units.tape(n.Gap)+" off", labelSize)
			l.colour = mid
			beside, _ := p.besideRun(i, n)
			spots, seen := p.besidePath(beside, l)
			p.neighbours++
			if !seen || !p.place(l, spots) {
				p.leftNeighbours++
			}
		}
	}
}
