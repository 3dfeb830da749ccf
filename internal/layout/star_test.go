package layout_test

import (
	"fmt"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// Sixteen hundred runs of one bay from one point, or from as many points within 1/8 in, meet
// in one post, in no more time than elsewhere.
func TestStar(t *testing.T) {
	const runs = 1_600
	for name, apart := range map[string]measure.Length{"one point": 0, "a cluster": 1000} {
		var s site.Site
		for i := range measure.Length(runs) {
			// Spokes to the sides of a square, 4 in apart at their ends.
			along, reach := (i/4-runs/8)*4*in, 68*ft
			end := [...]measure.Point{{East: along, North: -reach}, {East: reach, North: along}, {East: along, North: reach}, {East: -reach, North: along}}[i%4]
			s.Runs = append(s.Runs, site.Run{ID: fmt.Sprint(i), Vertices: []measure.Point{{East: i % 100 * apart, North: i / 100 * apart}, end}})
		}
		l, err := layout.Plan(s, sixFoot(spec.Layout{MaxBay: 100 * ft}))
		if err != nil {
			t.Fatal(err)
		}
		hub := l.Posts[0]
		if len(hub.Visits) != runs || hub.Role != layout.Junction || codes(l) != "crossings-not-checked" {
			t.Errorf("%s: the hub is a %s of %d runs, cautions %s", name, hub.Role, len(hub.Visits), codes(l))
		}
	}
}
