package takeoff

import (
	"wattle/internal/layout"
	"wattle/internal/measure"
)

// straightOn is the most that rails turn in a post that is bored straight
// through (common practice).
const straightOn = 10 * measure.Degree

// mortised is how a post that takes rails into it is made, by the directions
// that stretches leave it in: "line" through, "end" at one side, "corner" at two
// that make an angle, "tee" at three, "cross" at four. A gate hangs on a post and
// is no such direction.
func mortised(l *layout.Layout) func(int, *layout.Post) string {
	toward := make([][]measure.Point, len(l.Posts)) // the next posts, by the post that a stretch ends at
	for _, st := range l.Stretches {
		if st.Bays == 0 {
			continue
		}
		first, last := l.Bays[st.FirstBay], l.Bays[st.FirstBay+st.Bays-1]
		toward[first.Start] = append(toward[first.Start], l.Posts[first.End].At)
		toward[last.End] = append(toward[last.End], l.Posts[last.Start].At)
	}
	return func(i int, p *layout.Post) string {
		var legs []measure.Point
		if i < len(toward) { // else it stands beside the fence
			legs = toward[i]
		}
		switch {
		case p.Role == layout.Line:
			return "line"
		case len(legs) >= 4:
			return "cross"
		case len(legs) == 3:
			return "tee"
		case len(legs) < 2:
			return "end"
		case measure.Turn(legs[0], p.At, legs[1]).Abs() < straightOn:
			return "line"
		default:
			return "corner"
		}
	}
}
