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

// drawLevels draws lines at round elevations behind everything, where the
// ground is not level.
func (e *elevationSheet) drawLevels(s *strip) {
	if e.level {
		return
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
		return
	}
	right := e.at(s, s.to, 0).x
	for at := s.low / step * step; at <= s.high; at += step {
		place := e.at(s, s.from, at)
		if at < s.low || place.y < s.top+s.above/2 {
			continue
		}
		e.line(place.sub(vec{10, 0}), vec{right, place.y}, stroke{"#dfe3e5", 0.5})
		l := newLabel(strconv.FormatInt(int64(at/measure.Foot), 10)+" ft", baySize)
		l.colour = mid
		e.place(l, s, place.sub(vec{12 + l.box.width/2, 0}))
	}
}

// markGates names every gate with its clear opening.
func (e *elevationSheet) markGates(s *strip) {
	for _, g := range e.gates {
		if g.from < s.from || g.to > s.to {
			continue
		}
		o := e.layout.Openings[g.index]
		l := newLabel("gate "+shortened(o.Gate, labelSize, 110)+" "+tape(o.Clear), labelSize)
		l.colour = blue
		_, grade := e.ground.Range(g.from, g.to)
		e.above(l, s, e.at(s, g.from+(g.to-g.from)/2, grade+e.height), 0)
	}
}

// markTurns says at its vertices how the run turns.
func (e *elevationSheet) markTurns(s *strip) {
	for i, leg := range e.legs {
		if i == 0 && !e.fence.Closed || leg.Start < s.from || leg.Start >= s.to {
			continue
		}
		turn := measure.Turn(e.legs[(i+len(e.legs)-1)%len(e.legs)].From, leg.From, leg.To)
		if turn == 0 {
			continue
		}
		way := "left "
		if turn < 0 {
			way = "right "
		}
		degrees := strconv.FormatFloat(math.Round(float64(turn.Abs())/float64(measure.Degree)*10)/10, 'f', -1, 64)
		l := newLabel("turns "+way+degrees+" deg", labelSize)
		l.bold, l.box.width = true, l.box.width*1.1
		e.above(l, s, e.at(s, leg.Start, e.topAt(leg.Start)).add(vec{0, -1}), 0)
	}
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

// markSteps dimensions how far the board tops step from one bay to the next.
func (e *elevationSheet) markSteps(s *strip) {
	bays := e.meeting(s)
	for i := 1; i < len(bays); i++ {
		a, b := bays[i-1], bays[i]
		_, left := e.tops(a)
		right, _ := e.tops(b)
		step := e.step(a, b)
		if step == 0 {
			continue
		}
		side := 1.0 // the lower bay lies to the right
		if step > 0 {
			side = -1
		}
		high, low := e.at(s, b.from, max(left, right)), e.at(s, b.from, min(left, right))
		off := vec{side * 5, 0}
		high, low = high.add(off), low.add(off)
		e.line(high, low, stroke{dark, 0.5})
		for _, end := range []vec{high, low} {
			e.line(end.sub(vec{2, 0}), end.add(vec{2, 0}), stroke{dark, 0.5})
		}
		e.mask.fill(lineBox(high, low, 2), ink)
		l := newLabel(tape(step.Abs()), baySize)
		beside := vec{high.x + side*(2+l.box.width/2), min((high.y+low.y)/2, low.y-6)}
		if !e.place(l, s, beside, vec{beside.x, high.y - 5}, vec{beside.x, high.y - 9}) {
			e.above(l, s, high, side*(l.box.width/2-2))
		}
	}
}

// markFills says how far the boards are lengthened, or how high the kick board
// is, where the ground gap is filled.
func (e *elevationSheet) markFills(s *strip) {
	for _, b := range within(e.bays, s) {
		fill := e.layout.Bays[b.index].Fill
		if fill <= 0 || b.from < s.from {
			continue
		}
		l := newLabel("fill "+tape(fill), baySize)
		var places []vec
		for _, down := range []float64{10, 15, 20, 26} {
			for _, k := range []measure.Length{5, 4, 6, 3, 7} {
				station := b.from + (b.to-b.from)/10*k
				places = append(places, e.at(s, station, e.ground.At(station)).add(vec{0, down}))
			}
		}
		if !e.place(l, s, places...) {
			e.leftMarks++
		}
	}
}

// markBarred names the keep-outs below their hatching.
func (e *elevationSheet) markBarred(s *strip) {
	for _, b := range e.layout.Barred {
		from, to := max(b.From, s.from), min(b.To, s.to)
		if b.Run != e.run || from >= to {
			continue
		}
		middle := from + (to-from)/2
		l := newLabel("keep out "+joinedBy(shortened(b.ID, labelSize, 120), " ", tape(b.From)+" to "+tape(b.To)), labelSize)
		l.bold, l.box.width = true, l.box.width*1.1
		below := e.at(s, middle, e.ground.At(middle)).add(vec{0, e.deepest(s) + 6})
		var places []vec
		for y := below.y; y <= e.tableTop(s)-l.box.height/2; y += 4 {
			for _, dx := range []float64{0, 0.25, -0.25, 0.45, -0.45} {
				places = append(places, vec{below.x + dx*l.box.width, y})
			}
		}
		if !e.place(l, s, places...) {
			e.leftMarks++
		}
	}
}
