package takeoff

import (
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// meshAndWire are take-offs that use every rule of both families between them.
func meshAndWire(t *testing.T) []*Takeoff {
	t.Helper()
	comb := site.Site{} // forty runs, each longer than the one before, up ever steeper hills
	for i := range measure.Length(40) {
		long := 30*ft + i*measure.Foot
		comb.Runs = append(comb.Runs, site.Run{ID: "r" + number(whole(int(i))),
			Vertices: []measure.Point{{North: i * 10 * ft}, {North: i * 10 * ft, East: long}},
			Ground:   []site.GroundPoint{{}, {Station: long, Elevation: i * measure.Inch}}})
	}
	mesh := func(details spec.Details) spec.Spec {
		return spec.Spec{Family: spec.ChainLink, Height: 6 * ft, Details: details}
	}
	strung := func(details spec.Details) spec.Spec {
		return spec.Spec{Family: spec.Wire, Height: 4 * ft, Details: details}
	}
	wood := strung(spec.Details{"kind": wovenWire, "post_spacing": "8 ft", "brace_span": "16 ft"})
	wood.Posts.Size = "4rd"
	var all []*Takeoff
	for _, s := range []spec.Spec{
		mesh(nil),
		mesh(spec.Details{"bottom": "rail", "mid_rail": "true", "slats": "true"}),
		mesh(spec.Details{"barb_arms": "double", "rail_size": "1.9od", "ties": "f567"}),
		strung(nil), wood,
		strung(spec.Details{"kind": highTensile, "stays": "true", "post_spacing": "10 ft"}),
	} {
		s = s.WithDefaults()
		l, err := layout.Plan(comb, s)
		if err != nil {
			t.Fatal(err)
		}
		k, err := Count(l, s, nil)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, k)
	}
	return all
}

// Every rule of both families is used and has its source; its sentence finds
// every input and tells all of them; and where all stretches differ, no line
// explains itself at the length of a book.
func TestMeshAndWireTellTheirInputs(t *testing.T) {
	table, err := os.ReadFile("../../../shared/reference/checks.md")
	of := make(map[string]rule)
	for _, r := range slices.Concat(chainLinkRules, wireRules) {
		of[r.id] = r
		if err == nil && r.source != practice && !regexp.MustCompile(`\b`+r.source+`\b`).Match(table) {
			t.Errorf("%s: no source %s", r.id, r.source)
		}
	}
	unused := maps.Clone(of)
	for _, k := range meshAndWire(t) {
		for _, l := range k.Lines {
			if n := len(l.Derivation.Steps); n > 4*maxKinds {
				t.Errorf("%s has %d steps", l.Item, n)
			}
			for _, s := range l.Derivation.Steps {
				r, own := of[s.Rule]
				if !own {
					continue // a rule that all families share
				}
				delete(unused, s.Rule)
				told := make(map[string]bool)
				for _, m := range placeholder.FindAllStringSubmatch(r.sentence, -1) {
					told[m[1]] = true
					if _, has := s.input(m[1]); !has && m[1] != "+" && m[1] != "result" {
						t.Errorf("%s: the step has no %q", s.Rule, m[1])
					}
				}
				for _, in := range s.Inputs {
					if !told[in.Name] && !told["+"] {
						t.Errorf("%s: the sentence does not tell of %q", s.Rule, in.Name)
					}
				}
				if words := s.Sentence(); strings.ContainsAny(words, "{}[]") || strings.Contains(words, "  ") || s.Result == "" {
					t.Errorf("%s: %s", s.Rule, words)
				}
			}
		}
	}
	for id := range unused {
		t.Errorf("no job here uses the rule %s", id)
	}
}

// Every name that the two families give can be renamed.
func TestMeshAndWireNames(t *testing.T) {
	for _, k := range meshAndWire(t) {
		for _, l := range k.Lines {
			if !itemName.MatchString(l.Default) {
				t.Errorf("%s is no name that a spec may rename", l.Default)
			}
		}
	}
}
