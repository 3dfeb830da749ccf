package render

import "strings"

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

// drawFence draws each stretch: its line of posts, and what hangs on one side of
// them.
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
	switch {
	case lines.Len() == 0:
	case p.side != "":
		p.draw.path(boards.String(), "none", stroke{wood, 1.6})
		p.draw.path(lines.String(), "none", stroke{dark, 0.7})
	default:
		p.draw.path(lines.String(), "none", stroke{dark, 1})
	}
}
