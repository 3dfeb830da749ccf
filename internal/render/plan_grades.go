package render

import (
	"math"
	"strconv"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/measure"
)

// slope is a part of a piece on one grade: bays one after the other.
type slope struct {
	bays      []layout.Bay
	rise, run measure.Length
	stepped   bool
}

func (s slope) grade() float64 { return float64(s.rise) / float64(max(s.run, 1)) }

// leastGrade is the grade from which the plan tells it, and by how much bays
// differ in grade before they are told apart.
const leastGrade = 0.01

// slopes parts a piece where the grade changes.
func (p *plan) slopes(c piece) []slope {
	var all []slope
	for _, b := range c.bays {
		next := slope{rise: b.Rise, run: b.Width, stepped: p.layout.Stretches[b.Stretch].Stepped}
		i := len(all) - 1
		if i < 0 || all[i].stepped != next.stepped || math.Abs(all[i].grade()-next.grade()) > leastGrade {
			all = append(all, next)
			i++
			all[i].rise, all[i].run = 0, 0
		}
		all[i].bays = append(all[i].bays, b)
		all[i].rise += b.Rise
		all[i].run += b.Width
	}
	return all
}

// labelGrades tells the fall of the ground by an arrow downhill with percent,
// and where a stretch is stepped.
func (p *plan) labelGrades() {
	for _, c := range p.pieces {
		for _, s := range p.slopes(c) {
			steep := math.Abs(s.grade()) >= leastGrade
			if !steep && !s.stepped {
				continue
			}
			p.grades++
			if !p.tag(c, s, steep) {
				p.leftGrades++
			}
		}
	}
}

// Widths of the signs in a tag, each with the room beside it.
const (
	stairsWidth = 13
	arrowWidth  = 15
)

// tag writes a tag of a step mark, percent and an arrow beside the middle of a
// slope.
//
//	[_|- 4.2 % -->]
func (p *plan) tag(c piece, s slope, steep bool) bool {
	words, more := "", 0.0
	if steep {
		words, more = percent(s.grade()), arrowWidth
	}
	if s.stepped {
		more += stairsWidth
	}
	l := newLabel(words, labelSize)
	l.box.width += more
	at, settled := p.settle(&l, p.besideBays(c, s, l))
	if !settled {
		return false
	}
	p.take(l)

	u := vec{math.Cos(l.box.angle), math.Sin(l.box.angle)}
	fall := at.along.times(-float64(s.rise))
	from, to := -l.box.width/2, l.box.width/2
	if s.stepped {
		up := u
		if fall.x*u.x+fall.y*u.y > 0 {
			up = u.times(-1)
		}
		p.stairs(l.box.centre.add(u.times(from+stairsWidth/2.0)), up, u.left())
		from += stairsWidth
	}
	if steep {
		tail, head := l.box.centre.add(u.times(from+arrowWidth-1)), l.box.centre.add(u.times(from+1))
		if fall.x*u.x+fall.y*u.y > 0 {
			tail, head = l.box.centre.add(u.times(to-arrowWidth+1)), l.box.centre.add(u.times(to-1))
			to -= arrowWidth
		} else {
			from += arrowWidth
		}
		p.arrow(tail, head)
		p.falls = append(p.falls, [2]vec{tail, head})
		l.box.centre = l.box.centre.add(u.times((from + to) / 2))
		p.draw.text(l)
	}
	return true
}

// besideBays are spots for a tag beside the bays in the middle of a slope,
// always along the fence, as the arrow is; far ones get a leader.
func (p *plan) besideBays(c piece, s slope, l label) []spot {
	var spots []spot
	near, middle := p.half(c.start())+4+l.box.height/2, len(s.bays)/2
	sides := []float64{-1, 1}
	if len(c.stretches) > 1 {
		sides = []float64{1, -1} // no widths of bays stand outside an arc
	}
	for _, further := range []float64{0, 6, 12, 24, 36, 52, 70} {
		for i := range min(len(s.bays), 9) {
			// The middle, then by turns before and after it.
			at := middle + (i+1)/2
			if i%2 == 1 {
				at = middle - (i+1)/2
			}
			if at < 0 || at >= len(s.bays) {
				continue
			}
			a, b := p.bayEnds(s.bays[at])
			d := b.sub(a).unit()
			out, centre := p.out(c.run, d), a.towards(b, 0.5)
			for _, side := range sides {
				spots = append(spots, spot{centre: centre.add(out.times(side * (near + further))), angle: d.upright(), leader: further > 6, target: centre, along: d})
			}
		}
	}
	return spots
}

// percent is a grade as people say it.
func percent(grade float64) string {
	return strconv.FormatFloat(math.Round(math.Abs(grade)*1000)/10, 'f', -1, 64) + " %"
}

func (p *plan) arrow(from, to vec) {
	d := to.sub(from).unit()
	p.draw.line(from, to.sub(d.times(arrowLong)), stroke{dark, 0.8})
	p.arrowHead(to, d, dark)
}

// arrowLong is the length of an arrow's head.
const arrowLong = 4.5

// arrowHead draws the head of an arrow that comes along d.
func (p *plan) arrowHead(to, d vec, colour string) {
	back := to.sub(d.times(arrowLong))
	p.draw.polygon(colour, stroke{}, to, back.add(d.left().times(2)), back.sub(d.left().times(2)))
}

// stairs are three steps along u that rise towards n.
func (p *plan) stairs(at, u, n vec) {
	const step = 3
	foot := at.sub(u.times(step * 1.5)).sub(n.times(step * 1.5))
	var path strings.Builder
	path.WriteString("M" + pair(foot))
	for range 3 {
		head := foot.add(n.times(step))
		foot = head.add(u.times(step))
		path.WriteString("L" + pair(head) + "L" + pair(foot))
	}
	p.draw.path(path.String(), "none", stroke{dark, 0.8})
}
