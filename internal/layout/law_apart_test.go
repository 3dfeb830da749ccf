package layout_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// No two posts stand in one another, however runs cross or come to each other's
// legs: an end on a leg shares its post, anything else is refused.
func TestApartLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Bays of 2 ft put a post of every run near wherever another comes.
		through := site.Run{ID: "t", Vertices: []measure.Point{{}, {East: 20 * ft, North: measure.Length(rapid.IntRange(-20, 20).Draw(t, "north")) * ft}}}
		s := site.Site{Runs: []site.Run{through}}
		for i := range rapid.IntRange(1, 3).Draw(t, "branches") {
			at := through.PointAt(measure.Length(rapid.Int64Range(0, int64(20*ft)).Draw(t, "station")))
			at.North += measure.Length(rapid.Int64Range(-int64(in/8), int64(in/8)).Draw(t, "off")) * measure.Length(rapid.SampledFrom([]int64{0, 1, 40}).Draw(t, "times"))
			far := measure.Point{East: measure.Length(rapid.IntRange(-10, 30).Draw(t, "east")) * ft, North: measure.Length(rapid.IntRange(-30, 30).Draw(t, "to")) * ft}
			s.Runs = append(s.Runs, site.Run{ID: fmt.Sprint("b", i), Vertices: []measure.Point{at, far}})
		}
		s.Runs = rapid.Permutation(s.Runs).Draw(t, "order")
		l, err := layout.Plan(s, sixFoot(spec.Layout{MaxBay: 2 * ft}))
		if err != nil {
			if fault.KindOf(err) != fault.Invalid {
				t.Fatal(err)
			}
			t.Skip("refused")
		}
		for i, p := range l.Posts {
			for _, q := range l.Posts[:i] {
				if apart := p.At.DistanceTo(q.At); apart < (p.Width+q.Width)/2-1 {
					t.Errorf("%s %+v and %s %+v stand %s apart", p.Role, p.Visits, q.Role, q.Visits, apart)
				}
			}
		}
		for _, b := range l.Bays {
			if b.Start == b.End {
				t.Errorf("a bay of %s from a post to itself", b.Width)
			}
		}
	})
}
