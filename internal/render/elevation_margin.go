package render

import (
	"fmt"
	"strconv"
	"strings"

	"wattle/internal/layout"
	"wattle/internal/spec"
)

// beginSheet begins a sheet with its head and legend.
func (e *elevationSheet) beginSheet(sheets int) {
	e.turn()
	frame := vec{elevationMargin, elevationMargin}
	e.mask = newMask(frame, e.size.sub(frame), e.size)
	room := e.size.x - 2*elevationMargin
	e.write(vec{elevationMargin, elevationMargin + 8}, e.title, 14, room-100, true)
	number := fmt.Sprintf("sheet %d of %d", e.count, sheets)
	e.write(vec{e.size.x - elevationMargin - textWidth(number, 8) - 3, elevationMargin + 8}, number, 8, 100, false)
	e.write(vec{elevationMargin, elevationMargin + 24}, e.headline(), 8.5, room, false)
	y := float64(elevationMargin + elevationHead - 5)
	e.line(vec{elevationMargin, y}, vec{e.size.x - elevationMargin, y}, stroke{light, 0.6})
	e.drawLegend()
}

// headline says what is drawn, and how large.
func (e *elevationSheet) headline() string {
	parts := []string{e.fence.Length().Imperial(), counted(len(e.walk), "post")}
	if n := len(e.gates); n > 0 {
		parts = append(parts, counted(n, "gate"))
	}
	if e.spec.Family != spec.VerticalBoards {
		parts = append(parts, strings.ToLower(e.spec.Family.Title()))
	}
	parts = append(parts, e.height.Imperial()+" high")
	words := "Run " + shortened(e.id, 8.5, 200) + ": " + strings.Join(parts, ", ") + "."
	if e.level {
		words += " Level ground."
	}
	scale := strconv.FormatFloat(e.feetPerInch, 'f', -1, 64)
	if e.times == 1 {
		return words + " Scale 1 in = " + scale + " ft at full size, both ways."
	}
	return words + " Scale 1 in = " + scale + " ft at full size, vertical scale " + strconv.FormatFloat(e.times, 'f', -1, 64) + " x horizontal."
}

// drawLegend explains the signs in use.
func (e *elevationSheet) drawLegend() {
	top := e.size.y - elevationMargin - elevationFoot
	e.line(vec{elevationMargin, top}, vec{e.size.x - elevationMargin, top}, stroke{light, 0.6})
	at := vec{elevationMargin, top + 9}
	next := func(words string, sign func(low, high vec)) {
		sign(at.add(vec{0, -4}), at.add(vec{14, 4}))
		e.write(at.add(vec{18, 0}), words, labelSize, 240, false)
		at.x += 18 + textWidth(words, labelSize) + 12
	}
	filled := func(fill string, line stroke, narrow float64) func(low, high vec) {
		return func(low, high vec) {
			e.polygon(fill, line, vec{low.x + narrow, low.y}, vec{high.x - narrow, low.y}, vec{high.x - narrow, high.y}, vec{low.x + narrow, high.y})
		}
	}
	kept, line := e.roles()
	next("fixed post", filled(dark, stroke{}, 5.5))
	if line {
		next("line post", filled(white, stroke{dark, 0.6}, 5.5))
	}
	if kept {
		next("existing post, kept", filled(light, stroke{dark, 0.6}, 5.5))
	}
	in := e.inGround()
	if in.driven {
		next("driven post, no hole", func(low, high vec) {
			e.polygon(white, stroke{dark, 0.6}, low.add(vec{5.5, 0}), low.add(vec{8.5, 0}), vec{low.x + 8.5, high.y - 3}, vec{low.x + 7, high.y}, vec{low.x + 5.5, high.y - 3})
		})
	}
	words := "hole"
	if in.gravel {
		words = "hole, gravel at its foot"
	}
	hole := func(low, high vec) {
		foot := high.y
		if in.gravel {
			foot -= 3
		}
		if e.spec.Concrete.Set.Poured() {
			filled(tintConcrete, stroke{}, 3)(low, vec{high.x, foot})
		}
		if in.gravel {
			e.path(dotted(vec{low.x + 3, foot}, 8, 3), mid, stroke{})
		}
		e.dashed("M"+pair(low.add(vec{3, 0}))+"V"+number(high.y)+"H"+number(high.x-3)+"V"+number(low.y), stroke{dark, 0.6})
	}
	if in.hole || len(e.walk) == 0 {
		next(words, hole)
	}
	if words := e.hungWords(); words != "" {
		next(words, e.hungSign)
	}
	if e.anySlider() {
		next("sliding leaf, dashed where it hangs beside the fence", func(low, high vec) {
			e.dashed("M"+pair(low)+"H"+number(high.x)+"V"+number(high.y)+"H"+number(low.x)+"Z", stroke{blue, 1})
		})
	}
	if e.anyFill() {
		next("ground gap filled", filled(tintFill, stroke{mid, 0.4}, 0))
	}
	if e.anyBarred() {
		next("keep-out: no digging", func(low, high vec) {
			filled(white, stroke{dark, 0.6}, 0)(low, high)
			e.path(crossed(low, vec{high.x, low.y}, 8, 5), "none", stroke{mid, 0.5})
		})
	}
}

// inGround is what the posts of the run stand in.
func (e *elevationSheet) inGround() (in struct{ hole, gravel, driven bool }) {
	for _, v := range e.walk {
		p := e.post(v)
		if p.Existing {
			continue
		}
		in.driven = in.driven || p.Hole.Driven()
		in.hole = in.hole || !p.Hole.Driven()
		in.gravel = in.gravel || p.Hole.Gravel > 0
	}
	return in
}

// roles reports whether the run passes posts that are kept, and line posts.
func (e *elevationSheet) roles() (kept, line bool) {
	for _, v := range e.walk {
		p := e.post(v)
		kept = kept || p.Existing
		line = line || !p.Existing && p.Role == layout.Line
	}
	return kept, line
}

func (e *elevationSheet) anySlider() bool {
	for _, g := range e.gates {
		if e.layout.Openings[g.index].Slides {
			return true
		}
	}
	return false
}

func (e *elevationSheet) anyFill() bool {
	for _, b := range e.bays {
		if e.layout.Bays[b.index].Fill > 0 {
			return true
		}
	}
	return false
}

func (e *elevationSheet) anyBarred() bool {
	for _, s := range e.strips {
		if s.barred {
			return true
		}
	}
	return false
}

// drawFoot says how to read a sheet and what is not shown as it is, and on the
// last one what had no room.
func (e *elevationSheet) drawFoot(last bool) {
	notes := []string{"Stations and bays are along the line of post centres, to 1/16 in."}
	if !e.level {
		notes[0] += " Elevations in decimal feet over the site's datum."
	}
	if e.enlarged {
		notes[0] += " Posts are drawn wider than they are."
	}
	if e.hungWords() != "" {
		notes[0] += " What hangs is drawn as a sign."
	}
	var left []string
	for _, n := range []struct {
		count int
		what  string
	}{{e.leftPosts, "post"}, {e.leftBays, "bay"}, {e.leftMarks, "mark"}} {
		if n.count > 0 {
			left = append(left, counted(n.count, n.what))
		}
	}
	if last && len(left) > 0 {
		notes = append(notes, "No room for all figures of "+list(left)+"; the crew sheet has them.")
	}
	notes = append(notes, "Have utilities located before digging. Local codes and licensed people decide; check dimensions on site.")
	top := e.size.y - elevationMargin - elevationFoot + 19
	for i, note := range notes {
		e.write(vec{elevationMargin, top + float64(i)*9}, note, labelSize, e.size.x-2*elevationMargin, i == len(notes)-1)
	}
}
