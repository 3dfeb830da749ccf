package render

import (
	"strings"

	"wattle/internal/layout"
)

// sign is how a post is drawn.
type sign int

const (
	lineSign     sign = iota // a square outline
	fixedSign                // a square
	pullSign                 // a triangle
	anchorSign               // a diamond
	pinnedSign               // a ring with a dot
	concreteSign             // a grey square
	keptSign                 // a square outline with a cross
)

var signWords = [...]string{"line post", "fixed post", "pull post", "anchor (the line turns)", "post at a given place",
	"line post set in concrete", "existing post, kept"}

// leastSigns are the sizes from which signs can be told from one another.
var leastSigns = [...]float64{2.6, 3.4, 5, 5, 5, 3, 5}

// tells reports that a sign has a shape of its own.
func (s sign) tells() bool { return s >= pullSign && s != concreteSign }

func signOf(post layout.Post) sign {
	switch {
	case post.Existing:
		return keptSign
	case post.Role > layout.Pull: // an end or a corner is that before anything else
		return fixedSign
	case post.Because == layout.ByConcrete:
		return concreteSign
	case post.Role == layout.Pull && post.Because == layout.ByAnchor:
		return anchorSign
	case post.Role == layout.Pull:
		return pullSign
	case post.Role == layout.Pinned:
		return pinnedSign
	case post.Role == layout.Line:
		return lineSign
	default:
		return fixedSign
	}
}

// drawPosts draws every post to scale, turned with its run, but never so small
// that it cannot be seen.
func (p *plan) drawPosts() {
	along := make([]vec, len(p.layout.Posts))
	for _, b := range p.layout.Bays {
		from, to := p.bayEnds(b)
		d := to.sub(from).unit()
		along[b.End] = d
		if along[b.Start] == (vec{}) {
			along[b.Start] = d
		}
	}
	var line strings.Builder
	var last []func()
	for i, post := range p.layout.Posts {
		if along[i] == (vec{}) {
			along[i] = vec{1, 0}
		}
		s, at := signOf(post), p.at(post.At)
		least := leastSigns[s]
		if p.reach[i] > 0 {
			// Signs that tell something may cover a line post beside them.
			floor := 0.8
			if s.tells() {
				floor = 4
			}
			least = min(least, max(p.reach[i]*0.45, floor))
		}
		side := p.length(post.Width)
		if side < least {
			side, p.enlarged = least, true
		}
		p.mask.fill(box{at, side + 2, side + 2, along[i].upright()}, ink|built)
		switch {
		case s == lineSign:
			line.WriteString(standing(post.Size.Round(), at, along[i], side))
		case s.tells():
			last = append(last, func() { p.drawSign(s, post.Size.Round(), at, along[i], side) })
		default:
			p.drawSign(s, post.Size.Round(), at, along[i], side)
		}
	}
	if line.Len() > 0 {
		p.draw.path(line.String(), white, stroke{dark, 0.5})
	}
	for _, draw := range last {
		draw()
	}
}

// square are the corners of a post turned along d.
func square(at, d vec, side float64) []vec {
	a, n := d.times(side/2), d.left().times(side/2)
	return []vec{at.add(a).add(n), at.add(a).sub(n), at.sub(a).sub(n), at.sub(a).add(n)}
}

func outline(corners []vec) string {
	var path strings.Builder
	for i, c := range corners {
		path.WriteString(string("ML"[min(i, 1)]) + pair(c))
	}
	return path.String() + "Z"
}

// standing is the outline of a post, round or square.
func standing(round bool, at, d vec, side float64) string {
	if round {
		return circle(at, side/2)
	}
	return outline(square(at, d, side))
}

// drawSign draws the sign of one post.
func (p *plan) drawSign(s sign, round bool, at, d vec, side float64) {
	c, thin := square(at, d, side), stroke{dark, 0.5}
	switch s {
	case lineSign:
		p.draw.path(standing(round, at, d, side), white, thin)
	case concreteSign:
		p.draw.path(standing(round, at, d, side), light, thin)
	case pullSign:
		p.draw.polygon(dark, stroke{}, at.add(vec{0, -side * 0.6}), at.add(vec{side * 0.6, side * 0.5}), at.add(vec{-side * 0.6, side * 0.5}))
	case anchorSign:
		p.draw.polygon(dark, stroke{}, at.add(d.times(side*0.65)), at.add(d.left().times(side*0.65)), at.sub(d.times(side*0.65)), at.sub(d.left().times(side*0.65)))
	case pinnedSign:
		p.draw.path(circle(at, side/2), white, stroke{dark, 0.7})
		p.draw.path(circle(at, side/5), dark, stroke{})
	case keptSign:
		p.draw.polygon(white, thin, c...)
		p.draw.path("M"+pair(c[0])+"L"+pair(c[2])+"M"+pair(c[1])+"L"+pair(c[3]), "none", thin)
	default:
		p.draw.path(standing(round, at, d, side), dark, stroke{})
	}
}

// circle is the path of a whole one.
func circle(at vec, radius float64) string {
	r, half := number(radius), vec{radius, 0}
	return "M" + pair(at.sub(half)) + "A" + r + " " + r + " 0 0 1 " + pair(at.add(half)) + "A" + r + " " + r + " 0 0 1 " + pair(at.sub(half)) + "Z"
}
