package takeoff

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A person reviews testdata/gates.txt: what every gate takes with the sentences
// that explain it, and what its leaves weigh.
func TestGatesTold(t *testing.T) {
	var b strings.Builder
	for _, j := range gateJobs() {
		k, l := j.counted(t)
		fmt.Fprintf(&b, "%s, %s\n\n", strings.ToUpper(j.name[:1])+j.name[1:], j.opening)
		for _, x := range k.Lines {
			gates := false
			for _, s := range x.Derivation.Steps {
				gates = gates || strings.HasPrefix(s.Rule, "gate.")
			}
			if !gates {
				continue
			}
			fmt.Fprintf(&b, "  %s", x.Default)
			if x.Category == GateParts { // of the others the fence takes some too
				fmt.Fprintf(&b, ": net %s, order %s %s", x.Net, x.Order, x.Unit)
			}
			b.WriteString("\n")
			for _, s := range x.Derivation.Steps {
				if strings.HasPrefix(s.Rule, "gate.") || x.Category == GateParts {
					fmt.Fprintf(&b, "    %s [%s]\n", s.Sentence(), s.Source)
				}
			}
		}
		for _, f := range k.Leaves {
			fmt.Fprintf(&b, "  weight: %s lb\n", f.Weight)
			for _, s := range f.Weighing.Steps {
				fmt.Fprintf(&b, "    %s [%s]\n", s.Sentence(), s.Source)
			}
		}
		for _, c := range k.LeafCautions(l) {
			fmt.Fprintf(&b, "  caution %s at %s: %s\n", c.Code, c.Field, c.Text)
		}
		b.WriteString("\n")
	}
	path := filepath.Join("testdata", "gates.txt")
	if flag.Lookup("update").Value.String() == "true" {
		if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		t.Errorf("%s no longer says so (-update writes it anew):\n%s", path, b.String())
	}
}

// Every rule of gates is used, its sentence finds every input it names and tells
// every input it has, and its source is an entry of the table of outside figures.
func TestEveryGateRuleTellsItsInputs(t *testing.T) {
	unused := make(map[string]rule)
	for _, r := range gateRules {
		unused[r.id] = r
	}
	optional := regexp.MustCompile(`\[[^]]*\]`)
	for _, j := range gateJobs() {
		k, _ := j.counted(t)
		var steps []Step
		for _, l := range k.Lines {
			steps = append(steps, l.Derivation.Steps...)
		}
		for _, f := range k.Leaves {
			steps = append(steps, f.Weighing.Steps...)
		}
		for _, s := range steps {
			if !strings.HasPrefix(s.Rule, "gate.") {
				continue
			}
			delete(unused, s.Rule)
			r := rulesByID[s.Rule]
			for _, in := range s.Inputs {
				if !strings.Contains(r.sentence, "{"+in.Name) && r.sentence != "{+}" {
					t.Errorf("%s: the sentence does not tell of %q", s.Rule, in.Name)
				}
			}
			for _, m := range placeholder.FindAllStringSubmatch(optional.ReplaceAllString(r.sentence, ""), -1) {
				if _, has := s.input(m[1]); !has && m[1] != "+" && m[1] != "result" {
					t.Errorf("%s: the step has no %q", s.Rule, m[1])
				}
			}
			if words := s.Sentence(); strings.ContainsAny(words, "{}[]") || strings.Contains(words, "  ") {
				t.Errorf("%s: %s", s.Rule, words)
			}
		}
	}
	for id := range unused {
		t.Errorf("no job here uses the rule %s", id)
	}
	table, err := os.ReadFile("../../../shared/reference/checks.md")
	if err != nil {
		t.Skip("the table of outside figures is not here: ", err)
	}
	for _, r := range gateRules {
		if r.source != practice && !regexp.MustCompile(`\b`+r.source+`\b`).Match(table) {
			t.Errorf("%s: no source %s", r.id, r.source)
		}
	}
}

// Every name that a gate's parts have by rule is one that spec.items takes.
func TestGateItemNames(t *testing.T) {
	for _, j := range gateJobs() {
		k, _ := j.counted(t)
		for _, l := range k.Lines {
			if (l.Category == GateParts || l.Category == Boards) && !itemName.MatchString(l.Default) {
				t.Errorf("%s: %q is no name", j.name, l.Default)
			}
		}
	}
}

// No price is asked for what a gate does not take: every candidate is bought,
// or one of the lengths that sticks are cut from.
func TestGatesAskForNoMore(t *testing.T) {
	for _, j := range gateJobs() {
		l, s := j.layOut(t)
		k, _ := j.counted(t)
		for _, it := range gather(&Job{Layout: l, Spec: s}).items() {
			bought := it.category != GateParts
			for _, x := range k.Lines {
				bought = bought || x.Default == it.name
			}
			if !bought {
				t.Errorf("%s: %s is asked for and not bought", j.name, it.name)
			}
		}
	}
}
