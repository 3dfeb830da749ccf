package takeoff

import (
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

const ft = measure.Foot

// sixFoot is the spec of a six-foot fence, every default filled.
func sixFoot(change ...func(*spec.Spec)) spec.Spec {
	s := spec.Spec{Height: 6 * ft}
	for _, c := range change {
		c(&s)
	}
	return s.WithDefaults()
}

// stretch is one stretch of the given length between two 4x4 posts.
func stretch(long string, start, finish layout.StretchEnd) *layout.Layout {
	start.Post, finish.Post = 0, 1
	return &layout.Layout{
		Posts: []layout.Post{
			{ID: "P1", Size: "4x4", Width: measure.Must("3.5 in")},
			{ID: "P2", Size: "4x4", Width: measure.Must("3.5 in")}},
		Stretches: []layout.Stretch{{End: measure.Must(long), StartEnd: start, FinishEnd: finish}},
	}
}

// The face is the stretch on centre + w/2 at each terminal post; the thickness
// of rail and board (1-1/2 + 3/4 in) more for the covering leg of an outside
// corner, less at an inside corner; to the wall at a wall (common practice).
func TestFace(t *testing.T) {
	var (
		end      = layout.StretchEnd{Terminal: true}
		bend     = layout.StretchEnd{}
		covering = layout.StretchEnd{Terminal: true, Corner: layout.OutsideCorner, Covers: true}
		covered  = layout.StretchEnd{Terminal: true, Corner: layout.OutsideCorner}
		inside   = layout.StretchEnd{Terminal: true, Corner: layout.InsideCorner, Covers: true}
		wall     = layout.StretchEnd{Terminal: true, Wall: measure.Must("2-1/4 in")}
	)
	for _, c := range []struct {
		name          string
		start, finish layout.StretchEnd
		width, why    string
	}{
		{"two ends", end, end, "24 ft 3-1/2 in",
			"24 ft on centre + 1-3/4 in to the outer edge of the start post + 1-3/4 in to the outer edge of the finish post = 24 ft 3-1/2 in."},
		{"rails pass both posts", bend, bend, "24 ft", "24 ft on centre = 24 ft."},
		{"an outside corner, this leg covers", end, covering, "24 ft 5-3/4 in",
			"24 ft on centre + 1-3/4 in to the outer edge of the start post + 1-3/4 in to the outer edge of the finish post + 2-1/4 in over the other leg's edge at the finish = 24 ft 5-3/4 in."},
		{"an outside corner, the other covers", covered, end, "24 ft 3-1/2 in",
			"24 ft on centre + 1-3/4 in to the outer edge of the start post + 1-3/4 in to the outer edge of the finish post = 24 ft 3-1/2 in."},
		{"an inside corner", inside, end, "24 ft 1-1/4 in",
			"24 ft on centre + 1-3/4 in to the outer edge of the start post - 2-1/4 in for the inside corner at the start + 1-3/4 in to the outer edge of the finish post = 24 ft 1-1/4 in."},
		{"two walls", wall, wall, "24 ft 4-1/2 in",
			"24 ft on centre + 2-1/4 in to the wall at the start + 2-1/4 in to the wall at the finish = 24 ft 4-1/2 in."},
	} {
		t.Run(c.name, func(t *testing.T) {
			faces, alike := boardStretches(stretch("24 ft", c.start, c.finish), new(sixFoot()))
			if got := faces[0].Width; got != measure.Must(c.width) {
				t.Errorf("the face is %s, want %s", got, c.width)
			}
			if reach := faces[0].StartReach + faces[0].FinishReach; 24*ft+reach != faces[0].Width {
				t.Errorf("the reaches, %s, do not make the face", reach)
			}
			if got := alike.kinds[0].step("").Sentence(); got != c.why {
				t.Errorf("%s\nwant %s", got, c.why)
			}
		})
	}
}

// Boards start at the visible side: the gate's, with no gate or two the lower
// station (common practice); or where the spec says.
func TestStartSide(t *testing.T) {
	post, gate := layout.StretchEnd{Terminal: true}, layout.StretchEnd{Terminal: true, Gate: true}
	for _, c := range []struct {
		name          string
		start, finish layout.StretchEnd
		at            spec.StartSide
		fromFinish    bool
	}{
		{"no gate", post, post, spec.StartVisible, false},
		{"gate at the start", gate, post, spec.StartVisible, false},
		{"gate at the finish", post, gate, spec.StartVisible, true},
		{"two gates", gate, gate, spec.StartVisible, false},
		{"told low", post, gate, spec.StartLow, false},
		{"told high", gate, post, spec.StartHigh, true},
	} {
		s := sixFoot(func(s *spec.Spec) { s.Boards.StartAt = c.at })
		if faces, _ := boardStretches(stretch("24 ft", c.start, c.finish), &s); faces[0].FromFinish != c.fromFinish {
			t.Errorf("%s: boards start at the finish: %v", c.name, faces[0].FromFinish)
		}
	}
}
