package takeoff_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
	"wattle/internal/takeoff"
)

// drawLine is a run of a few legs on rising and falling ground, sometimes
// stepped, for a fence of the family.
func drawLine(t *rapid.T, s spec.Spec) (site.Site, spec.Spec) {
	inches := func(low, high int, name string) measure.Length {
		return measure.Length(rapid.IntRange(low, high).Draw(t, name)) * measure.Inch
	}
	r := site.Run{ID: "line", Vertices: []measure.Point{{}}}
	at := measure.Point{}
	for range rapid.IntRange(1, 4).Draw(t, "legs") {
		at = at.Add(measure.Point{East: inches(200, 900, "east"), North: inches(-600, 600, "north")})
		r.Vertices = append(r.Vertices, at)
	}
	for station := measure.Length(0); station <= r.Length(); station += 20 * ft {
		r.Ground = append(r.Ground, site.GroundPoint{Station: station, Elevation: inches(-20, 20, "elevation")})
	}
	r.Start.TieIn = rapid.Bool().Draw(t, "wall")
	s.Height = inches(36, 120, "height")
	if s.Family == spec.ChainLink && rapid.Bool().Draw(t, "stepped") {
		s.Slope.Mode = spec.Stepped
	}
	return site.Site{Runs: []site.Run{r}}, s.WithDefaults()
}

// netOf adds up the lines whose items begin so.
func netOf(k *takeoff.Takeoff, begin string) decimal.Decimal {
	total := decimal.Zero
	for _, l := range k.Lines {
		if strings.HasPrefix(l.Item, begin) {
			total, _ = total.Add(l.Net)
		}
	}
	return total
}

// What holds of any chain link fence: a bolt for every band, a band for every
// end of a rail or a wire, a cap on every post, as many sleeves as pieces meet,
// and fabric and rail for all of it.
func TestChainLinkLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, s := drawLine(t, spec.Spec{Family: spec.ChainLink, Details: spec.Details{
			"top":    rapid.SampledFrom([]string{"rail", "wire", "none"}).Draw(t, "top"),
			"bottom": rapid.SampledFrom([]string{"rail", "wire", "none"}).Draw(t, "bottom"),
			"ties":   rapid.SampledFrom([]string{"trade", "f567", "highway"}).Draw(t, "ties"),
		}})
		l, k := counted(t, st, s, nil)
		equal := func(what string, a, b decimal.Decimal) {
			if a.Cmp(b) != 0 {
				t.Errorf("%s: %s and %s", what, a, b)
			}
		}
		bands, _ := netOf(k, "tension-band").Add(netOf(k, "brace-band"))
		equal("bolts and bands", netOf(k, "carriage-bolt"), bands)
		perBar, _ := netOf(k, "tension-bar-").Mul(decimal.MustNew(int64(s.Details.Count("bands_per_bar")), 0))
		equal("bands and those of all bars", netOf(k, "tension-band"), perBar)
		caps, _ := netOf(k, "loop-cap").Add(netOf(k, "dome-cap"))
		equal("caps and posts", caps, decimal.MustNew(int64(len(l.Posts)), 0))

		var along measure.Length
		for _, stretch := range l.Stretches {
			along += stretch.Length()
		}
		roll := s.Details.Length("fabric_roll")
		if got := netOf(k, "fabric-"); got.Cmp(decimal.MustNew(int64(along/roll), 0)) < 0 {
			t.Errorf("%s rolls for %s of fence", got, along.Imperial())
		}
		for _, c := range k.Cuts {
			if c.Plan.Bought < c.Plan.Used || c.Plan.Used < along {
				t.Errorf("%s: %s bought, %s used for %s of fence", c.Use, c.Plan.Bought, c.Plan.Used, along)
			}
			for _, p := range c.Plan.Patterns {
				for _, cut := range p.Cuts {
					if cut%measure.Sixteenth != 0 && cut%measure.Millimetre != 0 {
						t.Errorf("%s: no tape marks %s", c.Use, cut)
					}
				}
			}
		}
	})
}

// Wire strung the other way is the same wire.
func TestWireReversed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, s := drawLine(t, spec.Spec{Family: spec.Wire, Details: spec.Details{
			"kind": rapid.SampledFrom([]string{"barbed", "woven", "high-tensile"}).Draw(t, "kind"),
		}})
		_, there := counted(t, st, s, nil)
		r := &st.Runs[0]
		long := r.Length()
		for i, j := 0, len(r.Vertices)-1; i < j; i, j = i+1, j-1 {
			r.Vertices[i], r.Vertices[j] = r.Vertices[j], r.Vertices[i]
		}
		var back []site.GroundPoint
		for _, g := range slices.Backward(r.Ground) {
			back = append(back, site.GroundPoint{Station: long - g.Station, Elevation: g.Elevation})
		}
		r.Ground, r.Start, r.End = back, r.End, r.Start
		_, again := counted(t, st, s, nil)
		for _, item := range []string{"brace-post", "brace-rail", "brace-pin", "brace-wire", "wire-strainer"} {
			if a, b := netOf(there, item), netOf(again, item); a.Cmp(b) != 0 {
				t.Errorf("%s: %s one way, %s the other", item, a, b)
			}
		}
	})
}

// A post in the middle of a straight that is pinned changes no bar and no band.
func TestPinnedPostsArePassed(t *testing.T) {
	s := chainLinkSpec("6 ft")
	plain := straight("60 ft")
	pinned := straight("60 ft")
	pinned.Runs[0].Pins = []site.Pin{{Station: 23 * ft}}
	a, b := count(t, plain, s, nil), count(t, pinned, s, nil)
	const want = "tension-bar-6ft 2, tension-band-2.375od 10, rail-end-1.66od 2, carriage-bolt 14"
	for _, k := range []*takeoff.Takeoff{a, b} {
		if got := netsAsked(k, want); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
