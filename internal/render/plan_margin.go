package render

import (
	"fmt"
	"math"
	"strconv"

	"wattle/internal/measure"
)

// write puts a line of text with its left end at a place; it is cut to the
// limit.
func (p *plan) write(at vec, words string, size, limit float64, bold bool) {
	if bold {
		limit /= 1.1
	}
	l := newLabel(shortened(words, size, limit-2), size)
	l.bold = bold
	wide := l.box.width
	if bold {
		wide *= 1.1
	}
	l.box.width = wide
	l.box.centre = at.add(vec{wide / 2, 0})
	p.labels = append(p.labels, l)
	p.draw.start(l, at)
}

// drawHead writes the title and what is drawn.
func (p *plan) drawHead() {
	room := p.sheet.size.x - 2*margin
	p.write(vec{margin, margin + 8}, p.title, 15, room, true)
	var net, gates measure.Length
	for _, s := range p.layout.Stretches {
		net += s.Length()
	}
	for _, o := range p.layout.Openings {
		gates += o.Span
	}
	words := fmt.Sprintf("%s of fence in %s, %s", p.units.Words(net), counted(len(p.site.Runs), "run"), counted(len(p.layout.Posts), "post"))
	if n := kept(p.layout); n > 0 {
		words += fmt.Sprintf(" (%d kept)", n)
	}
	if n := len(p.layout.Openings); n > 0 {
		words += fmt.Sprintf(", %s over %s", counted(n, "gate"), p.units.Words(gates))
	}
	words += ". Scale " + p.scaleText() + " at full size."
	size := 8.5
	for size > labelSize && p.units == BothMeasures && textWidth(words, size) > room-2 {
		size -= 0.5
	}
	p.write(vec{margin, margin + 26}, words, size, room, false)
	y := p.high.y + 6
	p.draw.line(vec{margin, margin + 36}, vec{p.sheet.size.x - margin, margin + 36}, stroke{light, 0.6})
	p.draw.line(vec{margin, y}, vec{p.sheet.size.x - margin, y}, stroke{light, 0.6})
}

// drawFoot draws north, the scale bar, the legend and the notes.
func (p *plan) drawFoot() {
	top := p.high.y + footTop
	p.drawNorth(vec{margin + 12, top + 17})
	p.drawScaleBar(vec{margin + 44, top + 14})
	p.drawLegend(top)
}

func (p *plan) drawNorth(at vec) {
	tip, foot := at.add(vec{0, -14}), at.add(vec{0, 14})
	p.draw.polygon(dark, stroke{}, tip, at.add(vec{-6, 14}), at.add(vec{0, 8}))
	p.draw.polygon(white, stroke{dark, 0.6}, tip, at.add(vec{6, 14}), at.add(vec{0, 8}))
	l := newLabel("N", 9)
	l.bold = true
	l.box.centre = foot.add(vec{0, 9})
	p.put(l)
}

// drawScaleBar draws four equal parts of a round length.
func (p *plan) drawScaleBar(at vec) {
	const most = 150
	unit, name := measure.Foot, " ft"
	if p.units == MetricMeasures {
		unit, name = measure.Metre, " m"
	}
	units := 0.0
	for power := 0.01; units == 0 || power*float64(unit)*p.scale*4 <= most; power *= 10 {
		for _, n := range []float64{1, 2, 5} {
			if part := n * power; units == 0 || part*float64(unit)*p.scale*4 <= most {
				units = part
			}
		}
	}
	part := units * float64(unit) * p.scale
	for i := range 4 {
		fill := dark
		if i%2 == 1 {
			fill = white
		}
		a := at.add(vec{float64(i) * part, 0})
		p.draw.polygon(fill, stroke{dark, 0.5}, a, a.add(vec{part, 0}), a.add(vec{part, 5}), a.add(vec{0, 5}))
	}
	for i := 0; i <= 4; i += 2 {
		words := strconv.FormatFloat(math.Round(units*float64(i)*100)/100, 'f', -1, 64)
		if i == 4 {
			words += name
		}
		l := newLabel(words, labelSize)
		l.box.centre = at.add(vec{float64(i) * part, -8})
		p.put(l)
	}
	p.write(at.add(vec{0, 16}), p.scaleText()+", north up", labelSize, 180, false)
}

// notes say what the drawing does not show as it is, and what it leaves out.
func (p *plan) notes() string {
	words := "Posts: number and station. Lengths are on centre, to " + p.units.finest() + "."
	if p.enlarged {
		words += " Posts are drawn larger than they are."
	}
	if p.spread {
		words += " Existing fences are drawn further off than they are."
	}
	if p.aside {
		words += " Sliding leaves are drawn further off than they are."
	}
	var left []string
	for _, n := range []struct {
		count, of  int
		what, each string
	}{
		{p.leftPosts, len(p.layout.Posts), "the labels", "post"}, {p.leftBays, len(p.layout.Bays), "the widths", "bay"},
		{p.leftGrades, p.grades, "the fall", "grade"}, {p.leftNeighbours, p.neighbours, "the gap", "existing fence"},
	} {
		if n.count > 0 {
			left = append(left, fmt.Sprintf("%s of %d of %s", n.what, n.count, counted(n.of, n.each)))
		}
	}
	if len(left) > 0 {
		words += " No room for " + list(left) + "; the layout list has all posts and bays."
	}
	if p.size.y > p.sheet.size.y {
		words += " What else has no room here is listed on the next sheet."
	}
	return words
}
