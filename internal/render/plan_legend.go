package render

import (
	"math"
	"strings"

	"wattle/internal/layout"
)

// entry is a line of the legend: a sign, drawn around a place, and its words.
type entry struct {
	words string
	draw  func(p *plan, at vec)
}

// Legend rows and columns, in points.
const (
	legendLeft   = margin + 222
	legendColumn = 155
	legendRow    = 12
	legendRows   = 3 // that the foot of a sheet has room for
	noteRow      = 9.5
)

// entries are the signs in use.
func (p *plan) entries() []entry {
	all := []entry{postEntry(fixedSign), postEntry(lineSign), {"fence, with its board side", (*plan).fenceSign}}
	add := func(used bool, words string, draw func(*plan, vec)) {
		if used {
			all = append(all, entry{words, draw})
		}
	}
	add(len(p.leaves) > 0, "gate leaf and its swing", (*plan).leafSign)
	add(p.tiedIn(), "wall (drawn square to the fence)", (*plan).wallSign)
	var used [len(signWords)]bool
	for _, post := range p.layout.Posts {
		used[signOf(post)] = true
	}
	for s := pullSign; s <= keptSign; s++ {
		if used[s] {
			all = append(all, postEntry(s))
		}
	}
	add(len(p.layout.Barred) > 0, "keep-out: no hole is dug", (*plan).barredSign)
	add(len(p.site.Obstacles) > 0, "obstacle with its clearance", (*plan).obstacleSign)
	neighbours := 0
	for _, r := range p.site.Runs {
		neighbours += len(r.Neighbours)
	}
	add(neighbours > 0, "existing fence beside the run", (*plan).neighbourSign)
	steep, stepped := false, false
	for _, c := range p.pieces {
		for _, s := range p.slopes(c) {
			steep, stepped = steep || math.Abs(s.grade()) >= leastGrade, stepped || s.stepped
		}
	}
	add(steep, "the ground falls, in percent", func(p *plan, at vec) { p.arrow(at.add(vec{-7, 0}), at.add(vec{7, 0})) })
	add(stepped, "stepped: rails level, bays drop", func(p *plan, at vec) { p.stairs(at, vec{1, 0}, vec{0, -1}) })
	return all
}

func postEntry(s sign) entry {
	return entry{signWords[s], func(p *plan, at vec) { p.drawSign(s, at, vec{1, 0}, 5) }}
}

// newSheet is a sheet whose foot has room for the legend.
func (p *plan) newSheet(paper vec, e extent) sheet {
	size, n := newSheet(paper, e).size, len(p.entries())
	more := float64(legendHeight(size, n)-legendRows) * legendRow
	if n > 5 { // and for notes about the further signs
		more += 2 * noteRow
	}
	s := fit(vec{size.x, size.y - more}, e)
	s.size = size
	return s
}

// legendHeight is how many rows n entries take on a sheet.
func legendHeight(size vec, n int) int {
	columns := max(1, int((size.x-margin-legendLeft)/legendColumn))
	return max(legendRows, (n+columns-1)/columns)
}

// drawLegend explains the signs in use, and says what was left out.
func (p *plan) drawLegend(at vec) {
	entries := p.entries()
	rows := legendHeight(p.sheet.size, len(entries))
	for i, e := range entries {
		place := at.add(vec{float64(i/rows) * legendColumn, float64(i%rows) * legendRow})
		e.draw(p, place.add(vec{8, 0}))
		p.write(place.add(vec{22, 0}), e.words, labelSize, legendColumn-25, false)
	}
	for i, note := range p.notes() {
		p.write(at.add(vec{0, float64(rows*legendRow) + 4 + float64(i)*noteRow}), note, labelSize, p.sheet.size.x-margin-at.x, false)
	}
}

func (p *plan) fenceSign(c vec) {
	p.draw.line(c.add(vec{-8, -1}), c.add(vec{8, -1}), stroke{dark, 0.7})
	p.draw.line(c.add(vec{-8, 2}), c.add(vec{8, 2}), stroke{wood, 1.6})
}

func (p *plan) leafSign(c vec) {
	pivot := c.add(vec{-5, 4})
	p.draw.line(pivot, pivot.add(vec{0, -9}), stroke{blue, 1.6})
	p.draw.arc(pivot, pivot.add(vec{9, 0}), pivot.add(vec{0, -9}), stroke{blue, 0.6})
}

func (p *plan) wallSign(c vec) {
	p.draw.line(c.add(vec{-8, -2}), c.add(vec{8, -2}), stroke{dark, 1.4})
	for k := -8.0; k <= 4; k += 4 {
		p.draw.line(c.add(vec{k + 4, -2}), c.add(vec{k, 4}), stroke{mid, 0.6})
	}
}

func (p *plan) barredSign(c vec) {
	a, b := c.add(vec{-8, 0}), c.add(vec{8, 0})
	strip := lineBox(a, b, 7)
	var ends strings.Builder
	tick(&ends, a, b, 3.5)
	tick(&ends, b, a, 3.5)
	p.draw.path(hatched(strip, []shape{strip}, math.Pi/4, 3), "none", stroke{red, 0.5})
	p.draw.path(ends.String(), "none", stroke{red, 0.8})
	p.draw.line(a, b, stroke{dark, 0.7})
}

func (p *plan) obstacleSign(c vec) {
	a, b := c.add(vec{-8, 0}), c.add(vec{8, 0})
	strip := lineBox(a, b, 9)
	p.draw.path(hatched(strip, []shape{strip}, -math.Pi/4, 4), "none", stroke{shaded, 0.4})
	p.draw.path(dashed(strip, []vec{a, b}), "none", stroke{red, 1})
}

func (p *plan) neighbourSign(c vec) {
	p.draw.line(c.add(vec{-8, 0}), c.add(vec{8, 0}), stroke{mid, 0.6})
	for _, x := range []float64{-4, 4} {
		at := c.add(vec{x, 0})
		p.draw.line(at.add(vec{-1.7, -1.7}), at.add(vec{1.7, 1.7}), stroke{mid, 0.6})
		p.draw.line(at.add(vec{-1.7, 1.7}), at.add(vec{1.7, -1.7}), stroke{mid, 0.6})
	}
}

func (p *plan) tiedIn() bool {
	for _, r := range p.site.Runs {
		if !r.Closed && (r.Start.TieIn || r.End.TieIn) {
			return true
		}
	}
	return false
}

// kept is how many existing posts stay.
func kept(l *layout.Layout) int {
	n := 0
	for _, post := range l.Posts {
		if post.Existing {
			n++
		}
	}
	return n
}
