package render

import (
	"math"

	"wattle/internal/layout"
	"wattle/internal/measure"
)

// Text sizes, in points.
const (
	dimensionSize = 8
	labelSize     = 6.5
	baySize       = 6
)

// quarter is the sine of i/24 of a quarter turn.
var quarter = func() (q [25]float64) {
	for i := range q {
		q[i] = math.Sin(float64(i) / 24 * math.Pi / 2)
	}
	return q
}()

// labelGates names every gate with its clear opening.
func (p *plan) labelGates() {
	for i, o := range p.layout.Openings {
		a, b := p.at(p.layout.Posts[o.Start].At), p.at(p.layout.Posts[o.End].At)
		d := b.sub(a).unit()
		middle := a.towards(b, 0.5)
		swing := p.out(o.Run, d)
		far := 0.0
		for _, f := range p.leaves {
			if f.opening == i {
				open := p.at(f.open).sub(p.at(f.pivot))
				swing, far = open.unit(), open.length()
				if f.slides {
					swing = p.at(f.off).sub(p.at(measure.Point{})).unit()
					far = leastOff
				}
			}
		}
		placed := false
		for _, name := range nameForms(o.Gate) {
			l := newLabel("gate "+name+" "+p.units.tape(o.Clear), labelSize)
			l.colour = blue
			angle := d.upright()
			off := far + 8
			if out := p.out(o.Run, d); l.box.width > b.sub(a).length() && out.x*swing.x+out.y*swing.y > 0 {
				// Past the dimension lines of the stretches beside the gate.
				off = max(off, offsets[0]+9)
			}
			spots := []spot{
				{centre: middle.add(swing.times(off)), angle: angle},
				{centre: middle.add(swing.times(far + 8)), angle: angle},
				{centre: middle.sub(swing.times(10)), angle: angle},
				{centre: middle.add(swing.times(far + 18)), angle: angle, leader: true, target: middle},
			}
			if placed = p.place(l, append(spots, around(middle, swing.times(-1), l, 12, 130, false)...)); placed {
				break
			}
		}
		if !placed {
			p.listed = append(p.listed, "Gate "+shortened(o.Gate, labelSize, longestName)+" "+p.units.tape(o.Clear)+", "+span(p.layout, o.Start, o.End)+", "+p.runName(o.Run))
		}
	}
}

// bearings are, for a post, the way of the run that passes it and its inside.
func (p *plan) bearings() (along, in []vec) {
	along, in = make([]vec, len(p.layout.Posts)), make([]vec, len(p.layout.Posts))
	add := func(run, a, b int) {
		d := p.at(p.layout.Posts[b].At).sub(p.at(p.layout.Posts[a].At)).unit()
		for _, i := range []int{a, b} {
			along[i] = d
			in[i] = in[i].sub(p.out(run, d))
		}
	}
	for _, s := range p.layout.Stretches {
		add(s.Run, s.StartEnd.Post, s.FinishEnd.Post)
	}
	for _, o := range p.layout.Openings {
		add(o.Run, o.Start, o.End)
	}
	return along, in
}

// labelFixedPosts names every fixed post of gates, or every other, with its
// station.
func (p *plan) labelFixedPosts(ofGates bool) {
	_, in := p.bearings()
	for i, post := range p.layout.Posts {
		gate := post.Role == layout.GateHinge || post.Role == layout.GateLatch
		if post.Role == layout.Line || p.joint[i] || gate != ofGates {
			continue
		}
		l := newLabel(p.postText(post), labelSize)
		at := p.at(post.At)
		inside := in[i].unit()
		half := max(p.length(post.Width)/2, 2)
		across := half + 4 + l.box.width/2
		inwards := spot{centre: at.add(inside.times(across)), angle: inside.upright()}
		outwards := spot{centre: at.sub(inside.times(across + 4)), angle: inside.upright()}
		beside := spot{centre: at.add(inside.times(half + 4 + l.box.height/2)), angle: inside.left().upright()}
		var spots []spot
		switch post.Role {
		case layout.Corner, layout.Bend:
			spots = []spot{outwards, inwards}
		case layout.GateHinge, layout.GateLatch:
			if spots = []spot{inwards}; p.gates == gatesAcross {
				spots = append(spots, outwards)
			}
			for _, s := range around(at, inside, l, half+4, half+50, false) {
				if step := s.centre.sub(at); step.x*inside.x+step.y*inside.y > 0 {
					spots = append(spots, s)
				}
			}
			spots = append(spots, outwards, beside)
		case layout.Pull, layout.Pinned:
			spots = []spot{inwards, outwards, beside}
		default:
			spots = []spot{beside, inwards, outwards}
		}
		spots = append(spots, around(at, inside, l, half+4, half+90, false)...)
		if !p.place(l, spots) {
			p.leftPosts++
			p.leftFixed++
		}
	}
}

// labelBays writes the width of every bay that has room for it and that no
// dimension tells.
func (p *plan) labelBays() {
	for _, c := range p.pieces {
		if len(c.stretches) > 1 && c.alike() {
			continue
		}
		for i := range c.bays {
			if !p.told[c.firstBay+i] && !p.labelBay(c, i) {
				p.leftBays++
			}
		}
	}
}

// labelBay writes the width of a bay of a piece beside it, and reports whether
// it has room.
func (p *plan) labelBay(c piece, i int) bool {
	a, b := p.bayEnds(c.bays[i])
	l := newLabel(p.units.tape(c.bays[i].Printed), baySize)
	l.box.width -= 1.5 // beside extension lines every point counts
	if l.box.width > b.sub(a).length() {
		return false
	}
	d := b.sub(a).unit()
	off := p.out(c.run, d).times(p.half(c.start()) + 4.5 + l.box.height/2)
	middle, angle := a.towards(b, 0.5), d.upright()
	// Inside, where posts are named, a width keeps its distance from names.
	apart := l
	apart.box.width += 10
	p.told[c.firstBay+i] = p.place(l, []spot{{centre: middle.add(off), angle: angle}}) || p.place(apart, []spot{{centre: middle.sub(off), angle: angle}})
	return p.told[c.firstBay+i]
}

// labelRuns names the runs where there are several.
func (p *plan) labelRuns() {
	if len(p.site.Runs) < 2 {
		return
	}
	for i, r := range p.site.Runs {
		if len(r.Vertices) < 2 {
			continue
		}
		a, b := p.at(r.Vertices[0]), p.at(r.Vertices[1])
		l := newLabel("run "+shortened(r.ID, labelSize, 90), labelSize)
		l.bold, l.colour = true, mid
		l.box.width *= 1.1
		d := b.sub(a).unit()
		p.place(l, around(a.towards(b, 0.5), p.out(i, d).times(-1), l, 12, 90, false))
	}
}
