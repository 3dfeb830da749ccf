package takeoff_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

var update = flag.Bool("update", false, "write testdata anew")

// hillside is a run over a dip, up a bank and, stepped, down again, with one
// old post that is kept.
//
//	                 ___
//	             __--   --__   stepped
//	--__    __--            --|
//	    ----
//	0   8   16   24    32   48 ft
func hillside() site.Site {
	r := run("0,0 48,0")
	for _, g := range []struct{ station, elevation measure.Length }{{0, 0}, {4, -1}, {8, 0}, {24, 3}, {32, 3}, {48, 0}} {
		r.Ground = append(r.Ground, site.GroundPoint{Station: g.station * ft, Elevation: g.elevation * ft})
	}
	r.Pins = []site.Pin{{Station: 8 * ft, Existing: true}}
	r.Slopes = []site.SlopePart{{From: 32 * ft, To: 48 * ft, Stepped: true}}
	return site.Site{Runs: []site.Run{r}}
}

// A person reviews these: every line of a job with the sentences that explain
// it, as testdata/*.txt.
func TestTold(t *testing.T) {
	full := prices(`
		post-4x4-8ft  11.98 each
		rail-2x4-8ft   5.10 each
		rail-2x4-12ft  8.40 each
		rail-2x4-16ft 10.90 each
		board-1x6-6ft  3.35 each 10
		concrete-80lb  6.20 bag
		gravel         9.00 ft3 0.5
		nail-8d-ring   4.20 lb 5
		nail-16d       3.10 lb 5
		crew-hour     65.00 hour
		rate-fence     0.14 hour/ft
		rate-gate      2.50 hour/leaf`)
	spaced := func(s *spec.Spec) {
		s.Concrete.Set, s.Concrete.BagPounds, s.Concrete.Crown = spec.DrySet, 60, measure.Inch
		s.Boards.Size, s.Boards.Gap, s.Boards.MaxGap = "1x4", measure.Must("2-1/2 in"), measure.Must("2-3/4 in")
		s.Posts.AboveBoards = measure.Must("4 in")
	}
	kick := func(s *spec.Spec) { s.Slope.Fill, s.Slope.RailEnds = spec.KickBoard, spec.PlumbEnds }
	for _, c := range []struct {
		name   string
		site   site.Site
		spec   spec.Spec
		offers map[string]takeoff.Offer
	}{
		{"yard-priced", yard(), sixFoot(), full},
		{"pickets-without-prices", site.Site{Runs: []site.Run{run("0,0 22,0 22,31")}}, sixFoot(spaced, func(s *spec.Spec) { s.Height = 4 * ft }), nil},
		{"hillside-longer-boards", hillside(), sixFoot(), full},
		{"hillside-kick-boards", hillside(), sixFoot(kick), nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := count(t, c.site, c.spec, c.offers)
			var b strings.Builder
			for _, l := range k.Lines {
				fmt.Fprintf(&b, "%s: %s %s (%s)\n", l.Item, l.Order, l.Unit, l.Description)
				for _, s := range l.Derivation.Sentences() {
					fmt.Fprintf(&b, "  %s\n", s)
				}
			}
			for _, c := range k.Cautions {
				fmt.Fprintf(&b, "caution %s: %s\n", c.Code, c.Text)
			}
			file := filepath.Join("testdata", c.name+".txt")
			if *update {
				if err := os.WriteFile(file, []byte(b.String()), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if b.String() != string(want) {
				t.Errorf("got:\n%s\nwant:\n%s", b.String(), want)
			}
		})
	}
}
