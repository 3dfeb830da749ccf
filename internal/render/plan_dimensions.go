package render

// dimensionPieces writes the length of every stretch, or of an arc's chords
// together, on a dimension line beside it, and returns those that have no room
// for one.
func (p *plan) dimensionPieces() (short []piece) {
	for _, c := range p.pieces {
		words := c.words(p.units)
		var drawn bool
		if len(c.stretches) > 1 {
			drawn = p.dimensionArc(c, words)
		} else {
			drawn = p.dimension(c, words[0]) || p.dimension(c, words[1])
		}
		if drawn {
			p.tell(c)
		} else {
			short = append(short, c)
		}
	}
	return short
}

// tellShort tells the lengths of pieces that have no room for a dimension line:
// with a leader, by the width of the only bay, or in the list.
func (p *plan) tellShort(short []piece) {
	for _, c := range short {
		words := c.words(p.units)
		switch {
		case p.pointTo(c, words[1]):
			p.tell(c)
		case len(c.bays) == 1 && p.labelBay(c, 0):
			p.byBay = append(p.byBay, c)
		default:
			p.listed = append(p.listed, "Stretch "+span(p.layout, c.start(), c.finish())+", "+p.runName(c.run)+
				" "+p.units.Words(c.from())+" to "+p.units.Words(c.to())+": "+words[0])
		}
	}
}

// tell notes that a dimension of a piece tells the width of its only bay.
func (p *plan) tell(c piece) {
	if len(c.bays) == 1 {
		p.told[c.firstBay] = true
	}
}

func newDimension(words string) label {
	l := newLabel(words, dimensionSize)
	l.bold = true
	l.box.width *= 1.1
	return l
}

// offsets are how far from the fence dimension lines run, the best first;
// outside is above zero.
var offsets = []float64{25, 37, -25, -37, 49, -49}

// dimension draws a dimension line along the stretch, where one has room.
func (p *plan) dimension(c piece, words string) bool {
	a, b := p.ends(c.stretches[0])
	l := newDimension(words)
	d := b.sub(a).unit()
	long := b.sub(a).length()
	if l.box.width+14 > long {
		return false
	}
	out := p.out(c.run, d)
	l.box.angle = d.upright()
	// Where no line has room it may end on the fence that a stretch comes to.
	ends := d.times(min(p.half(c.start())+4, long/4))
	for i := range 2 * len(offsets) {
		inset := ends.times(float64(i / len(offsets)))
		step := out.times(offsets[i%len(offsets)])
		from, to := a.add(step), b.add(step)
		if !p.mask.within(lineBox(from, to, 4)) || !p.mask.clear(lineBox(from.add(inset), to.sub(inset), 2), text|built) ||
			!p.extends(a, step) || !p.extends(b, step) {
			continue
		}
		for _, k := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
			gap := l.box.width/2 + 1
			l.box.centre = from.towards(to, k)
			if min(k, 1-k)*long < gap+6 || !p.mask.within(l.box) || !p.mask.clear(l.box, ink|text) {
				continue
			}
			thin := stroke{mid, 0.5}
			p.stroke(from, l.box.centre.sub(d.times(gap)), thin)
			p.stroke(l.box.centre.add(d.times(gap)), to, thin)
			slash := d.add(out).times(2)
			p.extend(a, step, slash)
			p.extend(b, step, slash)
			p.put(l)
			return true
		}
	}
	return false
}

// extend draws an end of a dimension line: the extension line from the fence,
// by a step and a little more, and the slash.
func (p *plan) extend(at, step, slash vec) {
	near, far := extension(at, step)
	p.draw.line(near, far, stroke{light, 0.4})
	p.draw.line(at.add(step).sub(slash), at.add(step).add(slash), stroke{dark, 0.8})
	p.mask.fill(lineBox(at, far, 0.5), ink)
}

func extension(at, step vec) (near, far vec) {
	d := step.unit()
	return at.add(d.times(5)), at.add(step).add(d.times(3))
}

// extends reports whether an extension line crosses no text.
func (p *plan) extends(at, step vec) bool {
	near, far := extension(at, step)
	return p.mask.clear(lineBox(near, far, 0.5), text)
}

func (p *plan) stroke(a, b vec, s stroke) {
	p.draw.line(a, b, s)
	p.mask.fill(lineBox(a, b, s.width), ink)
}

// dimensionArc draws a dimension line beside the chords of an arc, outside it if
// any of the words have room there.
func (p *plan) dimensionArc(c piece, words []string) bool {
	points := []vec{p.at(p.layout.Posts[c.start()].At)}
	for _, s := range c.stretches {
		points = append(points, p.at(p.layout.Posts[s.FinishEnd.Post].At))
	}
	first := points[1].sub(points[0]).unit()
	left := 1.0 // towards the outside
	if o := p.out(c.run, first).sub(first.left()); o.length() > 1 {
		left = -1
	}
	for _, side := range []float64{left, -left} {
		for _, w := range words {
			for _, off := range []float64{25, 37, 49} {
				if line := parallel(points, side*off); line != nil && p.freeLine(line) && p.extends(points[0], line[0].sub(points[0])) &&
					p.extends(points[len(points)-1], line[len(points)-1].sub(points[len(points)-1])) && p.besideArc(line, side, newDimension(w)) {
					end := len(points) - 1
					last := points[end].sub(points[end-1]).unit()
					p.extend(points[0], line[0].sub(points[0]), first.add(first.left()).times(2))
					p.extend(points[end], line[end].sub(points[end]), last.add(last.left()).times(2))
					return true
				}
			}
		}
	}
	return false
}

// besideArc draws a dimension line with its text beside it, about the middle,
// where the text has room; side is 1 on the left and -1 on the right.
func (p *plan) besideArc(line []vec, side float64, l label) bool {
	for _, part := range []float64{0.5, 0.35, 0.65} {
		middle, d := partway(line, part)
		l.box.angle = d.upright()
		for _, far := range []float64{8, 12, 17, 23} {
			l.box.centre = middle.add(d.left().times(side * far))
			if !p.mask.within(l.box) || !p.mask.clear(l.box, ink|text) || l.box.meets(line) {
				continue
			}
			for i := 1; i < len(line); i++ {
				p.stroke(line[i-1], line[i], stroke{mid, 0.5})
			}
			p.put(l)
			return true
		}
	}
	return false
}

// freeLine reports whether a dimension line may run along points.
func (p *plan) freeLine(points []vec) bool {
	for i := 1; i < len(points); i++ {
		if !p.mask.within(lineBox(points[i-1], points[i], 4)) || !p.mask.clear(lineBox(points[i-1], points[i], 2), text|built) {
			return false
		}
	}
	return true
}

// pointTo writes the length of what is too short for a dimension line close to
// its middle, or further off with a leader.
func (p *plan) pointTo(c piece, words string) bool {
	middle, d, long := p.middle(c)
	l := newDimension(words)
	out := p.out(c.run, d)
	var spots []spot
	for _, side := range []vec{out, out.times(-1)} {
		if l.box.width < 1.6*long {
			spots = append(spots, spot{centre: middle.add(side.times(14)), angle: d.upright()})
		}
	}
	for _, side := range []vec{out, out.times(-1)} {
		spots = append(spots, spot{centre: middle.add(side.times(9 + l.box.width/2)), angle: out.upright()})
	}
	return p.place(l, append(spots, around(middle, out, l, 20, 120, true)...))
}

// middle is that of a piece on paper, its direction there, and how long it is
// where it is straight.
func (p *plan) middle(c piece) (at, d vec, long float64) {
	s := c.stretches[len(c.stretches)/2]
	a, b := p.ends(s)
	if len(c.stretches) > 1 && len(c.stretches)%2 == 0 {
		return a, b.sub(a).unit(), b.sub(a).length()
	}
	return a.towards(b, 0.5), b.sub(a).unit(), b.sub(a).length()
}
