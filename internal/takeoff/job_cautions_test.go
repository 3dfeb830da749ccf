package takeoff

import (
	"slices"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/section"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// Common practice. Each case has the caution, and none of the changes that take
// it away again has.
func TestJobCautions(t *testing.T) {
	gate := func(st *site.Site) { st.Runs[0].Gates = straight().Runs[0].Gates }
	tearOut := func(st *site.Site) { st.Conditions.TearOut = straight().Conditions.TearOut }
	stained := func(s *spec.Spec) {
		s.Extras.Stain = spec.Stain{Coats: 1, Coverage: decimal.MustParse("150")}
	}
	capBoard := func(s *spec.Spec) { s.Extras.CapBoard = "2x6" }
	driven := func(s *spec.Spec) { s.Concrete.Set = spec.Driven }
	height := func(l string) func(*spec.Spec) { return func(s *spec.Spec) { s.Height = measure.Must(l) } }
	posts := func(size section.Section) func(*spec.Spec) {
		return func(s *spec.Spec) { s.Posts.Size, s.Posts.TerminalSize = size, size }
	}
	type specs = []func(*spec.Spec)
	for _, c := range []struct {
		code, text string
		site       func(*site.Site)
		spec       specs
		without    []specs
	}{
		{"labour-by-fence-only", "taking out the old fence and staining is not in it", tearOut, specs{stained},
			[]specs{{func(s *spec.Spec) { s.Labour.Exclude = true }}, {func(s *spec.Spec) { s.Labour.By = spec.ByTasks }}}},
		{"labour-by-fence-only", "taking out the old fence is not in it", tearOut, nil, nil},
		{"labour-by-fence-only", "staining is not in it", nil, specs{stained}, []specs{{func(s *spec.Spec) { s.Extras.Stain = spec.Stain{} }}}},
		{"caps-under-cap-board", "turn posts.caps off", nil, specs{capBoard},
			[]specs{{func(s *spec.Spec) { s.Posts.Caps = new(false) }}, {func(s *spec.Spec) { s.Posts.AboveBoards = 2 * measure.Inch }}}},
		{"driven-sawn-posts", "Sawn posts of 4x4", nil, specs{driven}, []specs{{posts("tee")}, {func(s *spec.Spec) { s.Concrete.Set = spec.NoSet }}}},
		{"tall-on-4x4", "Boards of 7 ft 10 in that stand 8 ft high on posts of 4x4 up to 6 ft apart", nil, specs{height("8 ft")}, []specs{{posts("6x6")}, {height("6 ft")}}},
		{"vinyl-gate-post", "Gate walk hangs between posts of vinyl", gate, specs{posts("5vinyl")}, []specs{{func(s *spec.Spec) { s.Posts.GateSize = "6sq" }}}},
	} {
		st := runOf(24 * ft)
		if c.site != nil {
			c.site(&st)
		}
		texts := func(change specs) []string {
			s := spec.Spec{Height: 6 * ft}
			for _, f := range slices.Concat(c.spec, change) {
				f(&s)
			}
			s = s.WithDefaults()
			l, err := layout.Plan(st, s)
			if err != nil {
				t.Fatal(err)
			}
			k, err := Job{Layout: l, Spec: s, Conditions: st.Conditions}.Count(nil)
			if err != nil {
				t.Fatal(err)
			}
			var all []string
			for _, x := range k.Cautions {
				if x.Code == c.code {
					all = append(all, x.Text)
				}
			}
			return all
		}
		if got := texts(nil); len(got) != 1 || !strings.Contains(got[0], c.text) {
			t.Errorf("%s: %q, want one of %q", c.code, got, c.text)
		}
		for i, w := range c.without {
			if got := texts(w); len(got) > 0 {
				t.Errorf("%s without, %d: %q", c.code, i+1, got)
			}
		}
	}
}

// Old rules say nothing of it, and posts that are driven stand over no concrete.
func TestCautionsOfOldRules(t *testing.T) {
	s := spec.Spec{Height: 8 * ft}.WithDefaults()
	has := func(k *Takeoff, code string) bool {
		return slices.ContainsFunc(k.Cautions, func(c layout.Caution) bool { return c.Code == code })
	}
	if k := planned(t, runOf(24*ft), s, plainRules, nil); has(k, "tall-on-4x4") {
		t.Error("rules that knew no such caution warn of tall boards")
	}
	for set, want := range map[spec.Setting]bool{spec.WetSet: true, spec.Driven: false} {
		s := spec.Spec{Height: 6 * ft, Concrete: spec.Concrete{Set: set}}.WithDefaults()
		s.Holes.Float = 2 * measure.Inch
		if k := (&Takeoff{Cautions: cautions(&s, &Takeoff{})}); has(k, "post-over-concrete") != want {
			t.Errorf("%s: a caution of concrete under posts: %v", set, !want)
		}
	}
}
