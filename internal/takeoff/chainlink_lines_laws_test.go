package takeoff

import (
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// drawTangle is runs between points of a grid, that meet, cross and close as they
// may.
func drawTangle(t *rapid.T) site.Site {
	var st site.Site
	for i := range rapid.IntRange(1, 3).Draw(t, "runs") {
		r := site.Run{ID: string(rune('a' + i))}
		for range rapid.IntRange(2, 6).Draw(t, "vertices") {
			on := func(name string) measure.Length { return measure.Length(rapid.IntRange(0, 4).Draw(t, name)) * 40 * ft }
			at := measure.Point{East: on("east"), North: on("north")}
			if n := len(r.Vertices); n == 0 || r.Vertices[n-1] != at {
				r.Vertices = append(r.Vertices, at)
			}
		}
		r.Closed = len(r.Vertices) > 2 && rapid.Bool().Draw(t, "closed")
		st.Runs = append(st.Runs, r)
	}
	return st
}

// Every span is in one line; a line ends at both of its ends or is a ring; no
// post is passed by more than one fence; and where rails are not joined, they end.
func TestLinesCoverSpans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := spec.Spec{Family: spec.ChainLink, Height: 4 * ft, CornerAngle: measure.Angle(rapid.SampledFrom([]int{15, 50, 100}).Draw(t, "corner")) * measure.Degree}
		if rapid.Bool().Draw(t, "stepped") {
			s.Slope.Mode = spec.Stepped
		}
		s = s.WithDefaults()
		l, err := layout.Plan(drawTangle(t), s)
		if err != nil {
			t.Skip(err)
		}
		spans := spansOf(l, true)
		endCrossings(l, spans)
		var all, lined measure.Length
		ends, joints := 0, 0
		for _, sp := range spans {
			all += sp.along
			for _, ending := range []bool{sp.startEnds, sp.finishEnds} {
				if ending {
					ends++
				} else {
					joints++
				}
			}
		}
		lines := linesOf(l, spans)
		for _, line := range lines {
			lined += line.along
			if !line.ring && (!line.startEnds || !line.finishEnds) {
				t.Errorf("a line from %s to %s goes on", l.Posts[line.start].ID, l.Posts[line.finish].ID)
			}
			if !line.ring {
				ends -= 2
			}
		}
		if all != lined || ends != 0 || joints%2 != 0 {
			t.Errorf("%s of spans and %s of lines; %d ends of none; %d open", all, lined, ends, joints)
		}
		m := meetingsOf(l, spans)
		for post, n := range m.passes {
			if n > 1 {
				t.Errorf("%d fences pass post %s", n, l.Posts[post].ID)
			}
		}
	})
}
