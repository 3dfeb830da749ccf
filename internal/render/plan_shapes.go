package render

import (
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// leaf is a gate leaf on the ground: hung at pivot, shut it reaches to shut,
// opened a quarter turn to open.
type leaf struct {
	opening           int
	pivot, shut, open measure.Point
}

func findLeaves(st site.Site, l *layout.Layout) []leaf {
	gates := make(map[string]site.Gate)
	for _, r := range st.Runs {
		for _, g := range r.Gates {
			gates[g.ID] = g
		}
	}
	var all []leaf
	for i, o := range l.Openings {
		a, b := l.Posts[o.Start], l.Posts[o.End]
		swing := gates[o.Gate].Swing
		if o.Leaves == 2 || o.HingeAtStart {
			all = append(all, hang(i, o, a, b, swing))
		}
		if o.Leaves == 2 || !o.HingeAtStart {
			// Seen from the other post, left and right change places.
			all = append(all, hang(i, o, b, a, site.Right-swing))
		}
	}
	return all
}

// hang is a leaf hung on post at, its latch towards post to.
func hang(opening int, o layout.Opening, at, to layout.Post, swing site.Side) leaf {
	apart := at.At.DistanceTo(to.At)
	pivot := measure.Lerp(at.At, to.At, at.Width/2, apart)
	shut := measure.Lerp(at.At, to.At, at.Width/2+o.LeafWidth, apart)
	step := shut.Sub(pivot)
	turned := measure.Point{East: -step.North, North: step.East}
	if swing == site.Right {
		turned = measure.Point{East: step.North, North: -step.East}
	}
	return leaf{opening, pivot, shut, pivot.Add(turned)}
}

// eachWall visits the walls that runs are tied in to: where, and a place of the
// run on the way to it.
func (p *plan) eachWall(visit func(at, fence vec)) {
	for _, r := range p.site.Runs {
		n := len(r.Vertices)
		if r.Closed || n < 2 {
			continue
		}
		if r.Start.TieIn {
			visit(p.at(r.Vertices[0]), p.at(r.Vertices[1]))
		}
		if r.End.TieIn {
			visit(p.at(r.Vertices[n-1]), p.at(r.Vertices[n-2]))
		}
	}
}

// wallDeep is how far the hatching of a wall reaches.
const wallDeep = 7

// drawWalls hatches the walls, square to their runs.
func (p *plan) drawWalls() {
	const half, apart = 22, 4
	p.eachWall(func(at, fence vec) {
		away := at.sub(fence).unit()
		along := away.left()
		a, b := at.add(along.times(half)), at.sub(along.times(half))
		p.draw.line(a, b, stroke{dark, 1.4})
		var hatch strings.Builder
		for k := -half + apart; k <= half; k += apart {
			foot := at.add(along.times(float64(k)))
			hatch.WriteString("M" + pair(foot) + "L" + pair(foot.add(away.times(wallDeep)).sub(along.times(apart))))
		}
		p.draw.path(hatch.String(), "none", stroke{mid, 0.6})
		p.mask.fill(lineBox(a.add(away.times(wallDeep/2)), b.add(away.times(wallDeep/2)), wallDeep+2), ink|built)
	})
}

// labelWalls names the walls where there is room.
func (p *plan) labelWalls() {
	p.eachWall(func(at, fence vec) {
		l := newLabel("wall", 7)
		l.colour = mid
		away := at.sub(fence).unit()
		middle := at.add(away.times(wallDeep + 2 + l.box.height/2))
		p.place(l, []spot{{centre: middle, angle: away.left().upright()}})
	})
}

// drawFence draws each stretch: its line of posts, and its boards on their
// side.
func (p *plan) drawFence() {
	var lines, boards strings.Builder
	for _, s := range p.layout.Stretches {
		a, b := p.ends(s)
		// Along a run that is tied in, boards go on to the wall.
		d := b.sub(a).unit()
		a = a.sub(d.times(p.length(s.StartEnd.Wall)))
		b = b.add(d.times(p.length(s.FinishEnd.Wall)))
		half := max(p.length(p.layout.Posts[s.StartEnd.Post].Width)/2, 1.2)
		face := sideOf(d, p.site.Runs[s.Run].Face).times(half + 1.2)
		lines.WriteString("M" + pair(a) + "L" + pair(b))
		boards.WriteString("M" + pair(a.add(face)) + "L" + pair(b.add(face)))
		p.mask.fill(lineBox(a, b, 2*half+4), ink|built)
	}
	if lines.Len() > 0 {
		p.draw.path(boards.String(), "none", stroke{wood, 1.6})
		p.draw.path(lines.String(), "none", stroke{dark, 0.7})
	}
}

// drawGates draws the leaves, opened, with the way they swing.
func (p *plan) drawGates() {
	for _, f := range p.leaves {
		pivot, shut, open := p.at(f.pivot), p.at(f.shut), p.at(f.open)
		p.draw.line(pivot, open, stroke{blue, 1.6})
		p.draw.path("M"+pair(pivot)+"L"+pair(shut), "none", stroke{blue, 0.4})
		p.draw.arc(pivot, shut, open, stroke{blue, 0.6})
		p.mask.fill(lineBox(pivot, open, 3), ink|built)
		p.mask.fill(lineBox(pivot, shut, 2), ink|built)
		const steps = 12
		across, up := shut.sub(pivot), open.sub(pivot)
		last := shut
		for i := 1; i <= steps; i++ {
			c, s := quarter[2*i], quarter[2*(steps-i)]
			next := pivot.add(across.times(s)).add(up.times(c))
			p.mask.fill(lineBox(last, next, 1.5), ink|built)
			last = next
		}
	}
}
