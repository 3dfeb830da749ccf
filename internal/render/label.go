package render

import (
	"math"
	"unicode/utf8"
)

// label is a text with its place on paper.
type label struct {
	text   string
	size   float64
	bold   bool
	colour string
	box    box
}

// newLabel has its box's size, not yet its place.
func newLabel(s string, size float64) label {
	s = plain(s)
	return label{text: s, size: size, box: box{width: textWidth(s, size) + 2, height: size * 1.2}}
}

// textWidth is a width that no common sans-serif sets s wider than.
func textWidth(s string, size float64) float64 {
	ems := 0.0
	for _, r := range s {
		switch {
		case r == '\'', r == 'i', r == 'l', r == 'j':
			ems += 0.36
		case r == ' ', r == '.', r == ',':
			ems += 0.37
		case r == ':', r == '(', r == ')', r == '-', r == '/', r == '"':
			ems += 0.47
		case r >= '0' && r <= '9':
			ems += 0.64
		case r == 'm', r == 'w', r == 'M', r == 'W', r == '%', r == '@', r == '=', r == '+':
			ems += 0.99
		case r >= 'A' && r <= 'Z':
			ems += 0.79
		case r < 0x250:
			ems += 0.65
		default:
			ems += 1.05
		}
	}
	return ems * size
}

// shortened is s cut to fit a width.
func shortened(s string, size, limit float64) string {
	s = plain(s)
	if textWidth(s, size) <= limit {
		return s
	}
	for s != "" && textWidth(s+"...", size) > limit {
		_, last := utf8.DecodeLastRuneInString(s)
		s = s[:len(s)-last]
	}
	return s + "..."
}

// spot is a place that a label may take.
type spot struct {
	centre vec
	angle  float64
	// leader: a line from target leads to the label.
	leader bool
	target vec
	// along is the way of the fence at what the label is about, where that
	// matters.
	along vec
}

// maxTries is how many spots are looked at on one sheet, a few seconds of
// work: past it the sheet is full and what is left has no room.
const maxTries = 300_000

// place puts the label on the first spot where it stands clear of everything
// on the sheet, and reports whether there was one.
func (p *plan) place(l label, spots []spot) bool {
	_, settled := p.settle(&l, spots)
	if settled {
		p.put(l)
	}
	return settled
}

// settle moves the label to the first such spot, which it returns, and draws
// its leader.
func (p *plan) settle(l *label, spots []spot) (at spot, settled bool) {
	for _, s := range spots {
		if p.tries++; p.tries > maxTries {
			return spot{}, false
		}
		l.box.centre, l.box.angle = s.centre, s.angle
		if !p.mask.within(l.box) || !p.mask.clear(l.box, ink|text) {
			continue
		}
		if s.leader {
			end := l.box.edgeTowards(s.target)
			lead := lineBox(s.target, end, 0.5)
			// Past what it points at, a leader crosses neither text nor fence.
			far := lineBox(s.target.towards(end, min(1, 9/end.sub(s.target).length())), end, 0.5)
			if !p.mask.clear(lead, text) || !p.mask.clear(far, built) {
				continue
			}
			p.mask.fill(lead, ink)
			p.draw.line(s.target, end, stroke{mid, 0.4})
		}
		return s, true
	}
	return spot{}, false
}

// put writes a label where it is.
func (p *plan) put(l label) {
	p.take(l)
	p.draw.text(l)
}

// take keeps a label's box for it, cleared of light hatching.
func (p *plan) take(l label) {
	if !p.mask.clear(l.box, shade) {
		c := l.box.corners()
		p.draw.polygon(white, stroke{}, c[:]...)
	}
	p.mask.fill(l.box, text)
	p.labels = append(p.labels, l)
}

// edgeTowards is where the line from the middle of b to a place outside leaves
// b.
func (b box) edgeTowards(v vec) vec {
	d := v.sub(b.centre)
	sin, cos := math.Sincos(b.angle)
	along, across := math.Abs(d.x*cos+d.y*sin), math.Abs(d.y*cos-d.x*sin)
	k := 1.0
	if along > 0 {
		k = min(k, b.width/2/along)
	}
	if across > 0 {
		k = min(k, b.height/2/across)
	}
	return b.centre.add(d.times(k))
}

// around are spots for level text around a target, nearest first, those in the
// preferred direction before the others; far ones get a leader, and all do
// where led is true.
func around(target, prefer vec, l label, nearest, farthest float64, led bool) []spot {
	var spots []spot
	start := math.Atan2(prefer.y, prefer.x)
	for r := nearest; r <= farthest; r += 7 {
		for i := range 16 {
			turn := float64((i+1)/2) * math.Pi / 8
			if i%2 == 1 {
				turn = -turn
			}
			sin, cos := math.Sincos(start + turn)
			spots = append(spots, spot{
				centre: target.add(vec{cos * (r + l.box.width/2), sin * (r + l.box.height/2)}),
				leader: led || r > nearest+4, target: target,
			})
		}
	}
	return spots
}
