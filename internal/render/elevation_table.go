package render

import (
	"math"
	"sort"
	"strconv"

	"wattle/internal/layout"
	"wattle/internal/measure"
)

// tableNames are the names of the rows below a strip; a row without a name goes
// on with the one before.
func (e *elevationSheet) tableNames(s *strip) []string {
	names := append([]string{"post"}, []string{"bay", ""}[:s.bayRows]...)
	names = append(names, []string{"station", ""}[:s.stationRows]...)
	if e.level {
		return names
	}
	return append(names, "ground, ft", "top, ft")
}

// rowsFor is in how many rows the bays of a strip and the stations of its posts
// stand: two where neighbours have no room in one.
func (e *elevationSheet) rowsFor(s *strip) (bays, stations int) {
	bays, stations = 1, 1
	first := sort.Search(len(e.bays), func(i int) bool { return e.bays[i].to > s.from })
	for i, b := range within(e.bays, s) {
		if float64(b.to-b.from)*e.across < e.bayRoom[first+i]-2 {
			bays = 2
		}
	}
	for i := s.first + 1; i < s.past; i++ {
		if float64(e.walk[i].station-e.walk[i-1].station)*e.across < (e.stationRoom[i]+e.stationRoom[i-1])/2 {
			stations = 2
		}
	}
	return bays, stations
}

// tableTop is where a strip's table begins.
func (e *elevationSheet) tableTop(s *strip) float64 {
	if s.barred {
		return s.base + 2*belowRoom
	}
	return s.base + belowRoom
}

// drawTable writes what is known of the posts below them, and of the bays
// between them. Fixed posts come first where there is no room for all.
func (e *elevationSheet) drawTable(s *strip) {
	top := e.tableTop(s)
	row := func(n int) float64 { return top + (float64(n)+0.5)*tableRow }
	names := e.tableNames(s)
	right := s.left + float64(s.to-s.from)*e.across
	for i, name := range names {
		if name != "" {
			e.line(vec{s.left - gutter, top + float64(i)*tableRow}, vec{right + rightRoom, top + float64(i)*tableRow}, stroke{light, 0.4})
			l := newLabel(name, baySize)
			l.colour = mid
			e.putStart(l, vec{s.left - gutter, row(i)})
		}
	}
	walk := e.walk[s.first:s.past]
	columns := e.spread(s, walk, right)
	for i, v := range walk {
		if dx := columns[i] - e.at(s, v.station, 0).x; math.Abs(dx) > 0.5 {
			e.line(vec{columns[i] - dx, top - 5}, vec{columns[i], top}, stroke{mid, 0.4})
		}
	}
	posts := row(0)
	bays := []float64{row(1), row(s.bayRows)}
	stations := []float64{row(1 + s.bayRows), row(s.bayRows + s.stationRows)}
	ground, tops := row(len(names)-2), row(len(names)-1)
	for _, fixed := range []bool{true, false} {
		for i, v := range walk {
			p := e.post(v)
			if (p.Role != layout.Line) != fixed {
				continue
			}
			told := e.cell(s, plain(p.ID), fixed, columns[i], posts)
			told = e.cell(s, tape(v.station), fixed, columns[i], stations...) && told
			if !e.level {
				told = e.cell(s, decimalFeet(p.Ground), false, columns[i], ground) && told
				told = e.cell(s, decimalFeet(p.Top()), false, columns[i], tops) && told
			}
			if !told {
				e.leftPosts++
			}
		}
	}
	e.tellBays(s, walk, columns, bays)
}

// tellBays writes the widths of bays and of gate openings between the columns
// of their posts, in the first row with room.
func (e *elevationSheet) tellBays(s *strip, walk []visited, columns, rows []float64) {
	tell := func(from, to measure.Length, words, colour string) {
		if from < s.from || to > s.to {
			return
		}
		a, b := e.columnAt(s, walk, columns, from), e.columnAt(s, walk, columns, to)
		l := newLabel(words, baySize)
		l.colour = colour
		for _, y := range rows {
			if e.place(l, s, vec{(a + b) / 2, y}) {
				return
			}
		}
		e.leftBays++
	}
	for _, b := range within(e.bays, s) {
		tell(b.from, b.to, tape(e.layout.Bays[b.index].Printed), "")
	}
	for _, g := range e.gates {
		if g.from < s.to && g.to > s.from {
			tell(g.from, g.to, tape(e.layout.Openings[g.index].Span), blue)
		}
	}
}

// columnAt is the column of the post at a station, or the place of the station.
func (e *elevationSheet) columnAt(s *strip, walk []visited, columns []float64, station measure.Length) float64 {
	for low, high := 0, len(walk); low < high; {
		middle := (low + high) / 2
		switch at := walk[middle].station; {
		case (at - station).Abs() <= measure.Sixteenth:
			return columns[middle]
		case at < station:
			low = middle + 1
		default:
			high = middle
		}
	}
	return e.at(s, station, 0).x
}

// cell writes a figure of the table in the first of the rows with room, and
// reports whether there was one.
func (e *elevationSheet) cell(s *strip, words string, bold bool, x float64, rows ...float64) bool {
	l := newLabel(shortened(words, baySize, 60), baySize)
	l.bold = bold
	if bold {
		l.box.width *= 1.08
	}
	x = min(x, e.size.x-elevationMargin-l.box.width/2)
	for _, y := range rows {
		if e.place(l, s, vec{x, y}) {
			return true
		}
	}
	return false
}

// decimalFeet is an elevation to 0.01 ft, as levels are booked.
func decimalFeet(l measure.Length) string {
	return strconv.FormatFloat(float64(l)/float64(measure.Foot), 'f', 2, 64)
}

// spread is, by visit, the middle of its column: below the post, or as little
// to the side as keeps posts that stand close readable. Where there is no room
// for all columns they stay below their posts.
func (e *elevationSheet) spread(s *strip, walk []visited, right float64) []float64 {
	at, wide := make([]float64, len(walk)), make([]float64, len(walk))
	for i, v := range walk {
		p := e.post(v)
		at[i] = e.at(s, v.station, 0).x
		wide[i] = textWidth(shortened(p.ID, baySize, 60), baySize)*1.08 + 3.5
		if !e.level {
			wide[i] = max(wide[i], textWidth(decimalFeet(p.Ground), baySize)+3.5, textWidth(decimalFeet(p.Top()), baySize)+3.5)
		}
	}
	if out := apart(at, wide); len(out) > 0 && out[0] > s.left-gutter/2 && out[len(out)-1] < right+rightRoom {
		return out
	}
	return at
}

// apart moves places in a row as little as it takes (in squares) to keep
// neighbours half of each one's width apart: by pooling neighbours that press
// on each other.
func apart(at, wide []float64) []float64 {
	type pool struct {
		sum float64
		n   int
	}
	offset := make([]float64, len(at)) // of each place from the first, packed
	var pools []pool
	for i := range at {
		if i > 0 {
			offset[i] = offset[i-1] + (wide[i-1]+wide[i])/2
		}
		next := pool{at[i] - offset[i], 1}
		for len(pools) > 0 && pools[len(pools)-1].sum/float64(pools[len(pools)-1].n) > next.sum/float64(next.n) {
			last := pools[len(pools)-1]
			pools, next = pools[:len(pools)-1], pool{last.sum + next.sum, last.n + next.n}
		}
		pools = append(pools, next)
	}
	out := make([]float64, 0, len(at))
	for _, p := range pools {
		for range p.n {
			out = append(out, p.sum/float64(p.n)+offset[len(out)])
		}
	}
	return out
}
