package render

import "wattle/internal/layout"

// legendEntry is a sign and what it means.
type legendEntry struct {
	words string
	sign  func(low, high vec)
}

func (l legendEntry) wide() float64 { return 18 + textWidth(l.words, labelSize) + 12 }

// legendPitch is how far rows of the legend stand apart.
const legendPitch = 10

// legendRows are the signs in use, in rows that fit the sheet.
func (e *elevationSheet) legendRows() [][]legendEntry {
	room := e.size.x - 2*elevationMargin
	var rows [][]legendEntry
	left := 0.0
	for _, entry := range e.legend() {
		if left -= entry.wide(); left < 0 {
			rows, left = append(rows, nil), room-entry.wide()
		}
		rows[len(rows)-1] = append(rows[len(rows)-1], entry)
	}
	return rows
}

// drawLegend explains the signs in use.
func (e *elevationSheet) drawLegend() {
	top := e.size.y - elevationMargin - e.foot
	e.line(vec{elevationMargin, top}, vec{e.size.x - elevationMargin, top}, stroke{light, 0.6})
	for i, row := range e.legendRows() {
		at := vec{elevationMargin, top + 9 + float64(i)*legendPitch}
		for _, entry := range row {
			entry.sign(at.add(vec{0, -4}), at.add(vec{14, 4}))
			e.write(at.add(vec{18, 0}), entry.words, labelSize, 240, false)
			at.x += entry.wide()
		}
	}
}

// legend are the signs in use.
func (e *elevationSheet) legend() []legendEntry {
	var all []legendEntry
	next := func(words string, sign func(low, high vec)) { all = append(all, legendEntry{words, sign}) }
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
			e.path(crossed(low, vec{high.x, low.y}, 8), "none", stroke{mid, 0.5})
		})
	}
	return all
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
	from, to := e.ends()
	for _, b := range e.barred {
		if b.From < to && b.To > from {
			return true
		}
	}
	return false
}
