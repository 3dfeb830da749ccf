package render

import (
	"math"
	"slices"
	"strings"

	"wattle/internal/layout"
)

// red is the colour of where no hole is dug; as dark as mid on a grey print.
const red = "#9c3a2e"

// measureBarred works out, by run, how far the hatching of a barred interval
// reaches to either side of the fence: a little more than a post.
func (p *plan) measureBarred() {
	p.barredHalf = make([]float64, len(p.site.Runs))
	for i := range p.barredHalf {
		p.barredHalf[i] = 4.5
	}
	for _, s := range p.layout.Stretches {
		if s.Run >= 0 && s.Run < len(p.barredHalf) {
			p.barredHalf[s.Run] = max(p.barredHalf[s.Run], p.half(s.StartEnd.Post)+2.5)
		}
	}
}

// drawBarred hatches every interval in which no hole is dug.
func (p *plan) drawBarred() {
	var hatch, ends strings.Builder
	for _, b := range p.layout.Barred {
		way := p.barredWay(b)
		if len(way) < 2 {
			continue
		}
		half := p.barredHalf[b.Run]
		for i := 1; i < len(way); i++ {
			strip := lineBox(way[i-1], way[i], 2*half)
			hatch.WriteString(hatched(p.frame, []shape{strip}, strip.angle+math.Pi/4, 3))
			p.mask.fill(strip, ink|built)
		}
		n := len(way)
		tick(&ends, way[0], way[1], half)
		tick(&ends, way[n-1], way[n-2], half)
	}
	if ends.Len() > 0 {
		p.draw.path(hatch.String(), "none", stroke{red, 0.5})
		p.draw.path(ends.String(), "none", stroke{red, 0.8})
	}
}

// tick adds a line to a path: through at, square to the way to a next point.
func tick(path *strings.Builder, at, next vec, half float64) {
	n := next.sub(at).unit().left().times(half)
	path.WriteString("M" + pair(at.add(n)) + "L" + pair(at.sub(n)))
}

// barredWay is a barred interval on paper, not so short that it cannot be seen.
func (p *plan) barredWay(b layout.Barred) []vec {
	const least = 2
	way := p.way(b.Run, b.From, b.To)
	if n := len(way); n == 2 && way[1].sub(way[0]).length() < least {
		middle, d := partway(way, 0.5)
		way = []vec{middle.sub(d.times(least / 2)), middle.add(d.times(least / 2))}
	}
	return way
}

// longestName is the room for the name of a keep-out, an obstacle or a gate.
const longestName = 150

// nameForms are such a name, the longest first, as it is cut where there is no
// room: names give way, the figures beside them never do.
func nameForms(name string) []string {
	var forms []string
	for _, wide := range []float64{longestName, 110, 60, 30} {
		forms = append(forms, shortened(name, labelSize, wide))
	}
	return slices.Compact(forms)
}

// runName is a run's, for the end of a line that must be whole.
func (p *plan) runName(run int) string { return shortened(runID(p.site, run), labelSize, 90) }

// labelBarred names every barred interval with its stations.
func (p *plan) labelBarred() {
	for _, b := range p.layout.Barred {
		id, stations := "", p.units.tape(b.From)+" to "+p.units.tape(b.To)
		if b.ID != "" {
			id = " " + b.ID
		}
		listed := "Keep-out" + shortened(id, labelSize, longestName) + ", " + p.runName(b.Run) + " " + stations
		way := p.barredWay(b)
		if len(way) < 2 {
			p.listed = append(p.listed, listed+": not on the run")
			continue
		}
		placed := false
		for _, name := range nameForms(id) {
			l := newLabel("keep-out"+name+" "+stations, labelSize)
			l.colour = red
			if placed = p.place(l, p.besideBarred(b, way, l)); placed {
				break
			}
		}
		if !placed {
			p.listed = append(p.listed, listed)
		}
	}
}

// besideBarred are spots for a label beside the hatching: along the fence, level
// with a short leader from the edge, across the fence, then further off.
func (p *plan) besideBarred(b layout.Barred, way []vec, l label) []spot {
	var along, near, square, far []spot
	half := p.barredHalf[b.Run]
	for _, part := range []float64{0.5, 0.25, 0.75} {
		middle, d := partway(way, part)
		for _, side := range []vec{p.out(b.Run, d).times(-1), p.out(b.Run, d)} {
			along = append(along, spot{centre: middle.add(side.times(half + 1.5 + l.box.height/2)), angle: d.upright()})
			square = append(square, spot{centre: middle.add(side.times(half + 1.5 + l.box.width/2)), angle: side.upright()})
			edge := middle.add(side.times(half))
			near = append(near, around(edge, side, l, 9, 30, true)...)
			far = append(far, around(edge, side, l, 37, 100, true)...)
		}
	}
	return slices.Concat(along, near, square, far)
}
