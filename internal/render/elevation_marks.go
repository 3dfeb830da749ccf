package render

import (
	"math"
	"strconv"

	"wattle/internal/measure"
)

// free reports whether a label stands in the clear.
func (e *elevationSheet) free(l label) bool {
	return e.mask.within(l.box) && e.mask.clear(l.box, ink|text)
}

// put writes a label where it is.
func (e *elevationSheet) put(l label) {
	e.mask.fill(l.box, text)
	e.note(l)
	e.text(l)
}

// putStart writes a label with its left end at a place.
func (e *elevationSheet) putStart(l label, at vec) {
	l.box.centre = at.add(vec{l.box.width / 2, 0})
	e.mask.fill(l.box, text)
	e.note(l)
	e.start(l, at)
}

// place writes a label at the first of the places where it stands in the clear
// within the strip, and reports whether there was one.
func (e *elevationSheet) place(l label, s *strip, centres ...vec) bool {
	for _, c := range centres {
		l.box.centre = c
		if c.y-l.box.height/2 >= s.top && e.free(l) {
			e.put(l)
			return true
		}
	}
	return false
}

// above writes a label over a place or leaning to a side of it, as low as it
// finds room, with a line down to the place where it stands off, and counts it
// where there is no room.
func (e *elevationSheet) above(l label, s *strip, place vec, lean float64) {
	const row = 8
	low, high := elevationMargin+l.box.width/2, e.size.x-elevationMargin-l.box.width/2
	for y := place.y - 6; y-l.box.height/2 >= s.top-1; y -= row / 2 {
		for _, dx := range []float64{0, l.box.width / 4, -l.box.width / 4} {
			if math.Abs(lean+dx) > l.box.width/2 {
				continue
			}
			l.box.centre = vec{min(max(place.x+lean+dx, low), high), y}
			foot := vec{place.x, y + l.box.height/2}
			lead := lineBox(foot, place, 0.4)
			led := place.y-foot.y > 3
			if !e.free(l) || led && !e.mask.clear(lead, text) {
				continue
			}
			if led {
				e.line(foot, place, stroke{mid, 0.4})
				e.mask.fill(lead, ink)
			}
			e.put(l)
			return
		}
	}
	e.leftMarks++
}

// nameStrip says which part of the run a strip shows, where there are several.
func (e *elevationSheet) nameStrip(s *strip) {
	if len(e.strips) < 2 {
		return
	}
	words := "Stations " + tape(s.from) + " to " + tape(s.to)
	if s.past < len(e.walk) {
		words += ", goes on at " + plain(e.post(e.walk[s.past]).ID)
	} else if e.fence.Closed && len(e.walk) > 0 {
		words += ", back at " + plain(e.post(e.walk[0]).ID)
	}
	l := newLabel(shortened(words, 7, 400), 7)
	l.bold, l.box.width = true, l.box.width*1.1
	e.putStart(l, vec{s.left - gutter, s.top - nameRow/2})
}

// levels are the round elevations that a strip has lines at, where the ground
// is not level.
func (e *elevationSheet) levels(s *strip) []measure.Length {
	if e.level {
		return nil
	}
	const least = 16
	step, unit := measure.Length(0), measure.Foot
	for ; step == 0 && unit < math.MaxInt64/100; unit *= 10 {
		for _, n := range []measure.Length{1, 2, 5} {
			if step == 0 && float64(n*unit)*e.up >= least {
				step = n * unit
			}
		}
	}
	if step == 0 {
		return nil
	}
	var all []measure.Length
	for at := s.low / step * step; at <= s.high; at += step {
		if at >= s.low && e.at(s, s.from, at).y >= s.top+s.above/2 {
			all = append(all, at)
		}
	}
	return all
}

// drawLevels draws lines at round elevations behind everything.
func (e *elevationSheet) drawLevels(s *strip) {
	from, right := s.left-e.besideHole(s), e.at(s, s.to, 0).x
	for _, at := range e.levels(s) {
		y := e.at(s, s.from, at).y
		e.line(vec{from, y}, vec{right, y}, stroke{"#dfe3e5", 0.5})
	}
}

// markLevels says how high the lines are, left of the fence and of the first
// hole, or right in front of the fence where a wide hole leaves no room.
func (e *elevationSheet) markLevels(s *strip) {
	for _, at := range e.levels(s) {
		l := newLabel(strconv.FormatInt(int64(at/measure.Foot), 10)+" ft", baySize)
		l.colour = mid
		end := e.at(s, s.from, at).sub(vec{2 + l.box.width/2, 0})
		e.place(l, s, end.sub(vec{e.besideHole(s), 0}), end.sub(vec{10, 0}))
	}
}

// besideHole is how far left of a strip's start its first hole is passed.
func (e *elevationSheet) besideHole(s *strip) float64 {
	const least = 10
	if s.first >= s.past {
		return least
	}
	v := e.walk[s.first]
	return max(least, s.left-e.at(s, v.station, 0).x+float64(e.post(v).Hole.Diameter)*e.across/2+3)
}

// markTurns says at its vertices how the run turns, and of an arc, whose chords
// turn all alike, how far it goes.
func (e *elevationSheet) markTurns(s *strip) {
	for i, leg := range e.legs {
		if leg.Start < s.from || leg.Start >= s.to {
			continue
		}
		words := e.turnWords(i)
		if words == "" {
			continue
		}
		l := newLabel(words, labelSize)
		l.bold, l.box.width = true, l.box.width*1.1
		e.above(l, s, e.at(s, leg.Start, e.topAt(leg.Start)).add(vec{0, -1}), 0)
	}
}

// turnWords say how the run turns at the vertex where a leg begins, and of an
// arc that begins there how far it goes; nothing where the run goes straight
// on, or on along an arc, or leaves one smoothly. An arc over the start of a
// closed run is told on both sides of the start.
func (e *elevationSheet) turnWords(i int) string {
	n := len(e.legs)
	if e.curving[i] && i > 0 {
		return "" // told where the arc begins
	}
	words := ""
	before := (i + n - 1) % n
	smooth := declaredBend(e.fence, i) && (e.arced(before) || e.arced(i))
	if !smooth && (i > 0 || e.fence.Closed) {
		turn := measure.Turn(e.legs[before].From, e.legs[i].From, e.legs[i].To)
		if turn != 0 {
			words = "turns " + sense(turn) + strconv.FormatFloat(math.Round(float64(turn.Abs())/float64(measure.Degree)*10)/10, 'f', -1, 64) + " deg"
		}
	}
	within := i // a vertex at which the arc goes on
	if next := (i + 1) % n; e.curving[next] {
		within = next
	}
	if !e.curving[within] {
		return words
	}
	last := i
	for last+1 < n && e.curving[last+1] {
		last++
	}
	turn := measure.Turn(e.legs[(within+n-1)%n].From, e.legs[within].From, e.legs[within].To)
	return joinedBy(words, ", ", "curves "+sense(turn)+"to "+tape(e.legs[last].End))
}

// arced reports whether a leg lies on an arc.
func (e *elevationSheet) arced(leg int) bool {
	return e.curving[leg] || e.curving[(leg+1)%len(e.legs)]
}

func sense(turn measure.Angle) string {
	if turn < 0 {
		return "right "
	}
	return "left "
}

// topAt is the elevation of the highest thing at a station, about.
func (e *elevationSheet) topAt(station measure.Length) measure.Length {
	top := e.ground.At(station) + e.height
	at := strip{from: station - measure.Inch, to: station + measure.Inch}
	for _, b := range within(e.bays, &at) {
		start, end := e.tops(b)
		if b.to > at.from && b.to < at.to {
			top = max(top, end)
		} else {
			top = max(top, start)
		}
	}
	return top
}
