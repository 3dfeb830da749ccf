package render

import "wattle/internal/measure"

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
		start, end := e.tops(b)
		board := e.boardLength()
		var inside, below []vec
		for _, k := range []measure.Length{5, 4, 6, 3, 7, 2, 8} {
			along := (b.to - b.from) / 10 * k
			lower := e.at(s, b.from+along, start+(end-start)/10*k-board)
			inside = append(inside, lower.add(vec{0, 6}))
		}
		for _, down := range []float64{10, 15, 20, 26, 33, 40, 48, 56} {
			for _, k := range []measure.Length{5, 4, 6, 3, 7} {
				station := b.from + (b.to-b.from)/10*k
				below = append(below, e.at(s, station, e.ground.At(station)).add(vec{0, down}))
			}
		}
		if !e.place(l, s, append(inside, below...)...) {
			e.leftMarks++
		}
	}
}

// markBarred names the keep-outs below their hatching.
func (e *elevationSheet) markBarred(s *strip) {
	for _, b := range e.barred {
		from, to := max(b.From, s.from), min(b.To, s.to)
		if from >= to {
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
