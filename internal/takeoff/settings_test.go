package takeoff

import (
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/spec"
)

// Posts of a stepped fence differ: every length is told, up to a bound, and
// lengths that no tape tells apart are one.
func TestPostsOfManyLengths(t *testing.T) {
	widths := strings.TrimSuffix(strings.Repeat("8 ft, ", 39), ", ")
	rising := func(by measure.Length) func(*layout.Layout) {
		return func(l *layout.Layout) {
			for i := range l.Posts {
				l.Posts[i].AboveGrade -= measure.Length(i) * by
			}
		}
	}
	s := sixFoot(func(s *spec.Spec) { s.Labour.Exclude = true })
	k := tookOff(t, hill(widths, rising(measure.Inch/8)), s, nil)
	says(t, k, "post-4x4-8ft",
		"1 post: 6 ft above grade + 2 ft embedded = 8 ft.",
		"1 post: 5 ft 11-7/8 in above grade + 2 ft embedded = 7 ft 11-7/8 in, the shortest stock that reaches: 8 ft.",
		// The 33rd is 32/8 in shorter than the first.
		"8 other posts: each as the layout lists it, at most 7 ft 8 in from top to foot, from the stock of 8 ft.",
		"40 line = 40 posts.")
	says(t, tookOff(t, hill(widths, rising(1), keep(0, 1)), s, nil), "post-4x4-8ft",
		"38 posts: 72 in above grade + 2 ft embedded = 96 in, the shortest stock that reaches: 8 ft.")
	says(t, tookOff(t, hill(widths, rising(1)), s, nil), "post-4x4-8ft", "40 posts: 6 ft above grade + 2 ft embedded = 8 ft.")
}
