package render

import (
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
)

// leaf is a gate leaf on the ground, opened from pivot to open. One that swings
// hangs at pivot; shut it reaches from there to shut. One that slides lies
// beside the fence, and its front goes from pivot to shut.
type leaf struct {
	opening           int
	pivot, shut, open measure.Point
	slides            bool
	// off is the way from the line of the fence to a leaf that slides.
	off measure.Point
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
		hung := hang
		if o.Slides {
			hung = slide
		}
		if o.Leaves == 2 || o.HingeAtStart {
			all = append(all, hung(i, o, a, b, swing))
		}
		if o.Leaves == 2 || !o.HingeAtStart {
			// Seen from the other post, left and right change places.
			all = append(all, hung(i, o, b, a, site.Right-swing))
		}
	}
	return all
}

// hang is a leaf hung on post at, its latch towards post to.
func hang(opening int, o layout.Opening, at, to layout.Post, swing site.Side) leaf {
	apart := at.At.DistanceTo(to.At)
	pivot := measure.Lerp(at.At, to.At, at.Width/2, apart)
	shut := measure.Lerp(at.At, to.At, at.Width/2+o.LeafWidth, apart)
	return leaf{opening: opening, pivot: pivot, shut: shut, open: pivot.Add(aside(shut.Sub(pivot), swing))}
}

// slide is a leaf that opens past post at: between it and the roller post that
// stands beside the fence.
func slide(opening int, o layout.Opening, at, to layout.Post, swing site.Side) leaf {
	apart := at.At.DistanceTo(to.At)
	off := at.Width
	if o.Roller != nil {
		off = (at.Width/2 + offLine(at.At, to.At, o.Roller.At.Sub(at.At)) - o.Roller.Width/2) / 2
	}
	step := measure.Lerp(measure.Point{}, aside(to.At.Sub(at.At), swing), off, apart)
	along := func(from measure.Length) measure.Point { return measure.Lerp(at.At, to.At, from, apart).Add(step) }
	return leaf{opening: opening, slides: true, off: step,
		pivot: along(at.Width / 2), open: along(at.Width/2 - o.LeafWidth), shut: along(apart - to.Width/2)}
}

// aside is a step turned a quarter to a side.
func aside(step measure.Point, to site.Side) measure.Point {
	if to == site.Right {
		return measure.Point{East: step.North, North: -step.East}
	}
	return measure.Point{East: -step.North, North: step.East}
}

// leastOff is how far from the line of the fence a leaf that slides is drawn at
// least.
const leastOff = 6

// further is how much further off the fence than it is a leaf that slides is
// drawn, so that it can be told from the fence.
func (p *plan) further(f leaf) vec {
	off := p.at(f.off).sub(p.at(measure.Point{}))
	if far := off.length(); f.slides && far < leastOff {
		p.aside = true
		return off.unit().times(leastOff - far)
	}
	return vec{}
}

// drawGates draws the leaves, opened, with the way they swing or slide.
func (p *plan) drawGates() {
	for _, f := range p.leaves {
		off := p.further(f)
		pivot, shut, open := p.at(f.pivot).add(off), p.at(f.shut).add(off), p.at(f.open).add(off)
		p.draw.line(pivot, open, stroke{blue, 1.6})
		p.draw.path("M"+pair(pivot)+"L"+pair(shut), "none", stroke{blue, 0.4})
		p.mask.fill(lineBox(pivot, open, 3), ink|built)
		p.mask.fill(lineBox(pivot, shut, 2), ink|built)
		if f.slides {
			p.arrowHead(shut, shut.sub(pivot).unit(), blue)
			p.drawRoller(p.layout.Openings[f.opening].Roller, off.times(2), shut.sub(pivot).unit())
			continue
		}
		p.draw.arc(pivot, shut, open, stroke{blue, 0.6})
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

// drawRoller draws the roller post beside the fence, moved off as far as its
// leaf leaves it room, and names it where there is some.
func (p *plan) drawRoller(post *layout.Post, off, along vec) {
	if post == nil {
		return
	}
	at := p.at(post.At).add(off)
	side := max(p.length(post.Width), leastSigns[fixedSign])
	p.drawSign(fixedSign, post.Size.Round(), at, along, side)
	p.mask.fill(box{at, side + 2, side + 2, along.upright()}, ink|built)
}
