package render

import (
	"wattle/internal/layout"
	"wattle/internal/measure"
)

// rollers are the posts beside the fence that carry leaves that slide, which are
// none of the layout's posts.
func rollers(l *layout.Layout) []layout.Post {
	var all []layout.Post
	for _, o := range l.Openings {
		if o.Roller != nil {
			all = append(all, *o.Roller)
		}
	}
	return all
}

// rollerStation is where the roller post of an opening stands along its run: half
// the opening on from it.
func rollerStation(run int, l *layout.Layout, o layout.Opening) measure.Length {
	at := func(post int) measure.Length {
		for _, v := range l.Posts[post].Visits {
			if v.Run == run {
				return v.Station
			}
		}
		return 0
	}
	if o.HingeAtStart {
		return at(o.Start) + l.Posts[o.Start].Width/2 - o.Clear/2
	}
	return at(o.End) - l.Posts[o.End].Width/2 + o.Clear/2
}

// rollerWords are how far off the line of the fence a roller post stands, and
// what it is.
func rollerWords(l *layout.Layout, o layout.Opening, m Measures) string {
	post := *o.Roller
	words := m.tape(measure.RoundTo(rollerOff(l, o), measure.Sixteenth)) + " off the line to the centre, " + plain(post.Size.Describe()) + ", stock " + m.tape(post.Stock)
	if post.Hole.Driven() {
		return words + ", " + holeText(post.Hole, m)
	}
	return words + ", hole " + holeText(post.Hole, m)
}

// rollerOff is how far off the line of the fence a roller post stands.
func rollerOff(l *layout.Layout, o layout.Opening) measure.Length {
	first := l.Posts[o.Start]
	if !o.HingeAtStart {
		first = l.Posts[o.End]
	}
	return offLine(l.Posts[o.Start].At, l.Posts[o.End].At, o.Roller.At.Sub(first.At))
}

// offLine is how far a step goes off the line from a to b.
func offLine(a, b, step measure.Point) measure.Length {
	along := b.Sub(a)
	apart := max(a.DistanceTo(b), 1)
	one, _ := measure.MulDivRound(int64(along.East), int64(step.North), int64(apart))
	other, _ := measure.MulDivRound(int64(along.North), int64(step.East), int64(apart))
	return measure.Length(one - other).Abs()
}
