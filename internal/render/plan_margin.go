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
	words := fmt.Sprintf("%s of fence in %s, %s", net.Imperial(), counted(len(p.site.Runs), "run"), counted(len(p.layout.Posts), "post"))
	if n := kept(p.layout); n > 0 {
		words += fmt.Sprintf(" (%d kept)", n)
	}
	if n := len(p.layout.Openings); n > 0 {
		words += fmt.Sprintf(", %s over %s", counted(n, "gate"), gates.Imperial())
	}
	p.write(vec{margin, margin + 26}, words+". Scale "+p.scaleText()+" at full size.", 8.5, room, false)
	y := p.high.y + 6
	p.draw.line(vec{margin, margin + 36}, vec{p.sheet.size.x - margin, margin + 36}, stroke{light, 0.6})
	p.draw.line(vec{margin, y}, vec{p.sheet.size.x - margin, y}, stroke{light, 0.6})
}

// drawFoot draws north, the scale bar and the legend.
func (p *plan) drawFoot() {
	top := p.high.y + 14
	p.drawNorth(vec{margin + 12, top + 26})
	p.drawScaleBar(vec{margin + 44, top + 20})
	p.drawLegend(vec{legendLeft, top + 4})
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
	feet := 0.0
	for power := 0.01; feet == 0 || power*float64(measure.Foot)*p.scale*4 <= most; power *= 10 {
		for _, n := range []float64{1, 2, 5} {
			if part := n * power; feet == 0 || part*float64(measure.Foot)*p.scale*4 <= most {
				feet = part
			}
		}
	}
	part := feet * float64(measure.Foot) * p.scale
	for i := range 4 {
		fill := dark
		if i%2 == 1 {
			fill = white
		}
		a := at.add(vec{float64(i) * part, 0})
		p.draw.polygon(fill, stroke{dark, 0.5}, a, a.add(vec{part, 0}), a.add(vec{part, 5}), a.add(vec{0, 5}))
	}
	for i := 0; i <= 4; i += 2 {
		words := strconv.FormatFloat(math.Round(feet*float64(i)*100)/100, 'f', -1, 64)
		if i == 4 {
			words += " ft"
		}
		l := newLabel(words, labelSize)
		l.box.centre = at.add(vec{float64(i) * part, -8})
		p.put(l)
	}
	p.write(at.add(vec{0, 16}), p.scaleText()+", north up", labelSize, 180, false)
}

// notes say what the drawing does not show as it is.
func (p *plan) notes() []string {
	notes := []string{"Posts: number and station. Lengths are on centre, to 1/16 in."}
	if p.leftPosts > 0 {
		notes = append(notes, fmt.Sprintf("No room for the labels of %d of %s; the layout list has them all.", p.leftPosts, counted(len(p.layout.Posts), "post")))
	}
	if p.leftBays > 0 {
		notes = append(notes, fmt.Sprintf("No room for the widths of %d of %s; the layout list has them all.", p.leftBays, counted(len(p.layout.Bays), "bay")))
	}
	if p.leftGrades > 0 {
		notes = append(notes, fmt.Sprintf("No room for %d of %s of the ground.", p.leftGrades, counted(p.grades, "grade")))
	}
	if p.leftNeighbours > 0 {
		notes = append(notes, fmt.Sprintf("No room for the gap of %d of %s.", p.leftNeighbours, counted(p.neighbours, "existing fence")))
	}
	if p.enlarged {
		notes = append(notes, "Posts are drawn larger than they are.")
	}
	if p.spread {
		notes = append(notes, "Existing fences are drawn further off than they are.")
	}
	if len(p.listed) > 0 {
		notes = append(notes, "What has no room here is listed on the next sheet.")
	}
	return notes
}

// drawList adds sheets below the first for what must be told and had no room.
func (p *plan) drawList() {
	const pitch, between = 10, 14
	sheet := p.sheet.size
	columnWidth := 0.0
	for _, words := range p.listed {
		columnWidth = max(columnWidth, textWidth(words, labelSize)+between)
	}
	columnWidth = min(columnWidth, sheet.x-2*margin)
	columns := max(1, int((sheet.x-2*margin)/columnWidth))
	rows := int((sheet.y - 2*margin - headRoom) / pitch)
	for i, words := range p.listed {
		onSheet := i % (columns * rows)
		if onSheet == 0 {
			top := p.size.y
			p.size.y += sheet.y
			p.draw.line(vec{0, top}, vec{sheet.x, top}, stroke{light, 0.6})
			p.write(vec{margin, top + margin + 8}, "Without room on the drawing", 12, sheet.x-2*margin, true)
		}
		at := vec{margin + float64(onSheet/rows)*columnWidth, p.size.y - sheet.y + margin + headRoom + float64(onSheet%rows)*pitch}
		p.write(at, words, labelSize, columnWidth-between+4, false)
	}
}
