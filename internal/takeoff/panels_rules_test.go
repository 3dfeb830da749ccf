package takeoff

import (
	"regexp"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// boughtMadeUp are jobs of panels, split rail and lying boards that use all their
// rules between them.
func boughtMadeUp(t *testing.T) []*gathered {
	t.Helper()
	in := measure.Inch
	corner := site.Site{Runs: []site.Run{{ID: "yard", Vertices: []measure.Point{{}, {North: 41 * ft}, {North: 41 * ft, East: 23 * ft}},
		Start: site.Terminus{TieIn: true}, End: site.Terminus{TieIn: true}}}}
	inside := corner
	inside.Runs = []site.Run{corner.Runs[0]}
	inside.Runs[0].Face = site.Right
	hill := site.Site{Runs: []site.Run{{ID: "hill", Vertices: []measure.Point{{}, {North: 41 * ft}}, Ground: []site.GroundPoint{{}, {Station: 41 * ft, Elevation: 4 * ft}}}}}
	comb := site.Site{}
	for i := range measure.Length(40) { // runs of forty lengths
		comb.Runs = append(comb.Runs, site.Run{ID: "r" + number(whole(int(i))),
			Vertices: []measure.Point{{North: i * 10 * ft}, {North: i * 10 * ft, East: 20*ft + i*in}}})
	}
	var all []*gathered
	for _, job := range []struct {
		family  spec.Family
		details spec.Details
		site    site.Site
		change  func(*spec.Spec)
	}{
		{spec.Panels, spec.Details{"screws_per_panel_end": "2"}, corner, func(*spec.Spec) {}},
		{spec.Panels, spec.Details{"material": "vinyl"}, hill, func(*spec.Spec) {}},
		{spec.Panels, spec.Details{"material": "wood"}, comb, func(*spec.Spec) {}},
		{spec.SplitRail, nil, hill, func(*spec.Spec) {}},
		{spec.SplitRail, nil, comb, func(s *spec.Spec) { s.Layout.Method = spec.Even }},
		{spec.HorizontalBoards, nil, corner, func(s *spec.Spec) { s.Extras.Lattice = 12 * in }},
		{spec.HorizontalBoards, nil, inside, func(s *spec.Spec) { s.Boards.Gap = in }},
		{spec.HorizontalBoards, spec.Details{"rip_top": "true"}, hill, func(s *spec.Spec) { s.Boards.Gap = in; s.Posts.TerminalSize = "4sq" }},
		{spec.HorizontalBoards, spec.Details{"span": "2"}, comb, func(*spec.Spec) {}},
	} {
		s := spec.Spec{Family: job.family, Height: 6 * ft, Details: job.details}
		job.change(&s)
		s = s.WithDefaults()
		l, err := layout.Plan(job.site, s)
		if err != nil {
			t.Fatal(err)
		}
		g := gather(&Job{Layout: l, Spec: s})
		if err := g.wrong.Err(); err != nil || g.err != nil {
			t.Fatal(err, g.err)
		}
		all = append(all, g)
	}
	return all
}

// Every rule of the families is used, its sentence has every input that it
// names, and no step keeps an input to itself.
func TestMadeUpFamiliesTellTheirInputs(t *testing.T) {
	unused := make(map[string]bool)
	for _, f := range []spec.Family{spec.Panels, spec.SplitRail, spec.HorizontalBoards} {
		for _, r := range families[f].rules {
			unused[r.id] = true
		}
	}
	check := func(s Step) {
		delete(unused, s.Rule)
		r := rulesByID[s.Rule]
		told := make(map[string]bool)
		for _, m := range placeholder.FindAllStringSubmatch(r.sentence, -1) {
			told[m[1]] = true
		}
		for _, m := range placeholder.FindAllStringSubmatch(regexp.MustCompile(`\[[^]]*\]`).ReplaceAllString(r.sentence, ""), -1) {
			if _, has := s.input(m[1]); !has && !strings.Contains("+ , result unrounded rounding", m[1]) {
				t.Errorf("%s: the step has no %q", s.Rule, m[1])
			}
		}
		for _, in := range s.Inputs {
			if !told[in.Name] && !told["+"] && !told[","] {
				t.Errorf("%s: the sentence does not tell of %q", s.Rule, in.Name)
			}
		}
		if words := s.Sentence(); strings.ContainsAny(words, "{}[]") || strings.Contains(words, "  ") || s.Result == "" {
			t.Errorf("%s: %s", s.Rule, words)
		}
	}
	for _, g := range boughtMadeUp(t) {
		for _, n := range g.needs {
			for _, s := range n.steps {
				check(s)
			}
			if len(n.steps) > 4*maxKinds {
				t.Errorf("%s has %d steps", n.name, len(n.steps))
			}
		}
		for _, f := range g.sticks {
			ways := []way{f.way}
			if f.others != nil {
				ways = append(ways, f.others(16*ft)...)
			}
			for _, w := range ways {
				for _, s := range w.steps {
					check(s)
				}
				for _, n := range w.with {
					for _, s := range n.steps {
						check(s)
					}
				}
			}
		}
	}
	for id := range unused {
		t.Errorf("no job here uses the rule %s", id)
	}
}

// Every item of the families can be renamed: its name is of the known form.
func TestMadeUpFamiliesNameTheirItems(t *testing.T) {
	for _, g := range boughtMadeUp(t) {
		for _, it := range g.items() {
			if !itemName.MatchString(it.name) {
				t.Errorf("%s: %s is no name that can be renamed", g.s.Family, it.name)
			}
		}
	}
	for _, c := range []spec.Coating{spec.Stainless, spec.Bright} {
		for _, it := range []item{panelScrewItem(), boardScrewItem()} {
			if name := coated(it, c).name; !itemName.MatchString(name) {
				t.Errorf("%s is no name that can be renamed", name)
			}
		}
	}
}
