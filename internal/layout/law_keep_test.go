package layout_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wattle/internal/fault"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// gridBays is the fewest bays of a level stretch with its line posts on whole
// inches, by trying every place: 0 where there are none. A line hole reaches
// half a foot from its post; two 4x4 posts stand 3-1/2 in apart or more.
func gridBays(length int, first, inner, last, single int, keepOuts []site.KeepOut) int {
	const holeRadius, least = 6 * in, 4
	allowed := func(x int) bool {
		at := measure.Length(x) * in
		return !slices.ContainsFunc(keepOuts, func(k site.KeepOut) bool { return at-holeRadius < k.To && at+holeRadius > k.From })
	}
	if length <= single {
		return 1
	}
	fewest := make([]int, length+1) // bays from the start to a post there
	for x := least; x <= length-least; x++ {
		if !allowed(x) {
			continue
		}
		if x <= first {
			fewest[x] = 1
			continue
		}
		for y := least; y <= x-least; y++ {
			if x-y <= inner && fewest[y] > 0 && (fewest[x] == 0 || fewest[y]+1 < fewest[x]) {
				fewest[x] = fewest[y] + 1
			}
		}
	}
	best := 0
	for x := max(length-last, 0); x <= length-least; x++ {
		if fewest[x] > 0 && (best == 0 || fewest[x]+1 < best) {
			best = fewest[x] + 1
		}
	}
	return best
}

// Keep-outs on a level run: never more bays than the best row on whole inches,
// and never refused where there is such a row; one keep-out more never saves a
// bay.
func TestKeepOutLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length := rapid.IntRange(36, 30*12).Draw(t, "length")
		bay := rapid.IntRange(3*12, 8*12).Draw(t, "bay")
		limit := rapid.Bool().Draw(t, "terminal limit")
		f := sixFoot(spec.Layout{
			MaxBay: measure.Length(bay) * in, TerminalLimit: new(limit),
			Method:   rapid.SampledFrom([]spec.Method{spec.Even, spec.Remainder}).Draw(t, "method"),
			ShortEnd: spec.Finish, MinBay: new(measure.Length(rapid.IntRange(1, 12).Draw(t, "least")) * in),
		})
		r := site.Run{ID: "a", Vertices: []measure.Point{{}, {East: measure.Length(length) * in}}}
		for range rapid.IntRange(1, 4).Draw(t, "keep-outs") {
			// Clear of the holes at the ends.
			from := rapid.IntRange(6, length-12).Draw(t, "from")
			to := min(from+rapid.IntRange(1, 60).Draw(t, "wide"), length-6)
			r.KeepOuts = append(r.KeepOuts, site.KeepOut{From: measure.Length(from) * in, To: measure.Length(max(to, from+1)) * in})
		}
		first, single := bay, bay
		if limit { // a rail laps each end post by 1-3/4 in
			first, single = bay-2, bay-4
		}
		grid := gridBays(length, first, bay, first, single, r.KeepOuts)
		l, err := layout.Plan(site.Site{Runs: []site.Run{r}}, f)
		if err != nil {
			if fault.KindOf(err) != fault.Invalid {
				t.Fatal(err)
			}
			if grid > 0 {
				t.Errorf("%d bays on whole inches; refused: %v", grid, err)
			}
			return
		}
		if grid > 0 && len(l.Bays) > grid {
			t.Errorf("%d bays, on whole inches %d", len(l.Bays), grid)
		}
		r.KeepOuts = r.KeepOuts[1:]
		fewer, err := layout.Plan(site.Site{Runs: []site.Run{r}}, f)
		if err != nil || len(fewer.Bays) > len(l.Bays) {
			t.Errorf("%d bays; %v with a keep-out less: %v", len(l.Bays), fewer, err)
		}
	})
}

// On any site, a keep-out more never saves a bay.
func TestKeepOutMoreLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, f := drawSite(t), drawSpec(t)
		f.Alignment.PullSpacing, f.Alignment.Rules = 0, "trade" // pull posts make way for keep-outs
		for i := range s.Runs {
			s.Runs[i].Start.LinePostOf = ""
		}
		i := rapid.IntRange(0, len(s.Runs)-1).Draw(t, "run")
		if length := s.Runs[i].Length(); len(s.Runs[i].KeepOuts) == 0 {
			from := within(t, 0, length-3*ft, "from")
			s.Runs[i].KeepOuts = []site.KeepOut{{From: from, To: from + between(t, 1, 3*ft, "wide")}}
		}
		l, err := layout.Plan(s, f)
		if err != nil {
			t.Skip("refused")
		}
		s.Runs = slices.Clone(s.Runs)
		s.Runs[i].KeepOuts = s.Runs[i].KeepOuts[1:]
		fewer, err := layout.Plan(s, f)
		if err != nil {
			t.Skip("line posts elsewhere stand in other runs' posts")
		}
		if len(fewer.Bays) > len(l.Bays) {
			t.Errorf("%d bays, %d with a keep-out less", len(l.Bays), len(fewer.Bays))
		}
	})
}
