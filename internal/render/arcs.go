package render

import (
	"slices"

	"wattle/internal/measure"
	"wattle/internal/site"
)

// curving is, by vertex at which a leg begins, whether that leg goes on along
// the arc that the leg before it lies on. Run.Chords alone does not say so: the
// vertices where an arc meets its tangent or the next arc are among them. The
// chords of an arc are alike: in length to a hundredth, and so is what they
// turn from one to the next; where an arc ends smoothly the line turns by half
// of that, and between arcs of opposite senses by less.
func curving(r site.Run, legs []site.Leg) []bool {
	n := len(legs)
	turns := make([]measure.Angle, n) // 0: no arc goes on here
	for _, c := range r.Chords {
		if c < 0 || c >= n || c == 0 && !r.Closed {
			continue
		}
		before := legs[(c+n-1)%n]
		a, b := before.Length(), legs[c].Length()
		if (a - b).Abs() <= max(a, b)/100 {
			turns[c] = measure.Turn(before.From, legs[c].From, legs[c].To)
		}
	}
	on := make([]bool, n)
	for i, turn := range turns {
		on[i] = turn != 0 && arcsOn(turn, turns[(i+n-1)%n]) && arcsOn(turn, turns[(i+1)%n])
	}
	return on
}

// arcsOn reports whether a turn can be one between the chords of an arc, by the
// turn at a vertex beside it: it is not much the smaller, and where the other
// goes the other way it is much the larger.
func arcsOn(turn, beside measure.Angle) bool {
	if (turn < 0) != (beside < 0) {
		return 2*turn.Abs() > 3*beside.Abs()
	}
	return 3*turn.Abs() >= 2*beside.Abs()
}

// declaredBend reports whether a vertex is one of a declared arc or its ends.
func declaredBend(r site.Run, vertex int) bool { return slices.Contains(r.Chords, vertex) }
