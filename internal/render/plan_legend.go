package render

import (
	"math"
	"slices"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/spec"
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
	footTop      = 12 // below the line over the foot
	barHeight    = 48 // of north and the scale bar
	noteRow      = 9
	noteRows     = 3 // that notes usually take
)

// entries are the signs in use.
func (p *plan) entries() []entry {
	all := []entry{p.postEntry(fixedSign), p.postEntry(lineSign), {p.fenceWords(), (*plan).fenceSign}}
	add := func(used bool, words string, draw func(*plan, vec)) {
		if used {
			all = append(all, entry{words, draw})
		}
	}
	slides := 0
	for _, f := range p.leaves {
		if f.slides {
			slides++
		}
	}
	add(len(p.leaves) > slides, "gate leaf and its swing", (*plan).leafSign)
	add(slides > 0, "sliding leaf, open; roller post", (*plan).slideSign)
	add(p.tiedIn(), "wall (drawn square to the fence)", (*plan).wallSign)
	var used [len(signWords)]bool
	for _, post := range p.layout.Posts {
		used[signOf(post)] = true
	}
	for s := pullSign; s <= keptSign; s++ {
		if used[s] {
			all = append(all, p.postEntry(s))
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

// postEntry explains a sign, round where the first post that has it is.
func (p *plan) postEntry(s sign) entry {
	i := slices.IndexFunc(p.layout.Posts, func(post layout.Post) bool { return signOf(post) == s })
	round := i >= 0 && p.layout.Posts[i].Size.Round()
	return entry{signWords[s], func(p *plan, at vec) { p.drawSign(s, round, at, vec{1, 0}, 5) }}
}

// sideOfFence is what hangs on one side of the posts: boards, or panels on their
// faces; nothing of a fence that is the same from both.
func sideOfFence(s spec.Spec) string {
	switch {
	case s.HasBoards():
		return "board"
	case s.Family == spec.Panels && s.Details["mount"] == "face":
		return "panel"
	default:
		return ""
	}
}

func (p *plan) fenceWords() string {
	if p.side == "" {
		return "fence"
	}
	return "fence, with its " + p.side + " side"
}

// footRoom is the room that the foot of a sheet takes: the legend, north and the
// scale bar beside it, and below them the notes.
func (p *plan) footRoom(size vec) float64 {
	return footTop + p.legendHeight(size) + noteRows*noteRow
}

// legendRows is how many rows the legend takes on a sheet.
func (p *plan) legendRows(size vec) int {
	columns := max(1, int((size.x-margin-legendLeft)/legendColumn))
	return (len(p.entries()) + columns - 1) / columns
}

func (p *plan) legendHeight(size vec) float64 {
	return max(barHeight, float64(p.legendRows(size)*legendRow)) + 4
}

// drawLegend explains the signs in use, and says what was left out.
func (p *plan) drawLegend(top float64) {
	rows := p.legendRows(p.sheet.size)
	for i, e := range p.entries() {
		place := vec{legendLeft + float64(i/rows)*legendColumn, top + (float64(i%rows)+0.5)*legendRow}
		e.draw(p, place.add(vec{8, 0}))
		p.write(place.add(vec{22, 0}), e.words, labelSize, legendColumn-25, false)
	}
	limit := p.sheet.size.x - 2*margin
	for i, note := range fitted(p.notes(), labelSize, limit-3) {
		p.write(vec{margin, top + p.legendHeight(p.sheet.size) + (float64(i)+0.5)*noteRow}, note, labelSize, limit, false)
	}
}

func (p *plan) fenceSign(c vec) {
	if p.side == "" {
		p.draw.line(c.add(vec{-8, 0}), c.add(vec{8, 0}), stroke{dark, 1})
		return
	}
	p.draw.line(c.add(vec{-8, -1}), c.add(vec{8, -1}), stroke{dark, 0.7})
	p.draw.line(c.add(vec{-8, 2}), c.add(vec{8, 2}), stroke{wood, 1.6})
}

func (p *plan) leafSign(c vec) {
	pivot := c.add(vec{-5, 4})
	p.draw.line(pivot, pivot.add(vec{0, -9}), stroke{blue, 1.6})
	p.draw.arc(pivot, pivot.add(vec{9, 0}), pivot.add(vec{0, -9}), stroke{blue, 0.6})
}

func (p *plan) slideSign(c vec) {
	p.draw.line(c.add(vec{-8, 2}), c.add(vec{3, 2}), stroke{blue, 1.6})
	p.draw.line(c.add(vec{3, 2}), c.add(vec{6, 2}), stroke{blue, 0.4})
	p.arrowHead(c.add(vec{10, 2}), vec{1, 0}, blue)
	p.drawSign(fixedSign, false, c.add(vec{-4, -2}), vec{1, 0}, 3.4)
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
