package quote

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wattle/internal/measure"
	"wattle/internal/money"
	"wattle/internal/site"
	"wattle/internal/spec"
)

var addToCorpus = flag.Bool("add-to-corpus", false, "write the corpus documents that do not exist yet; never changes one that does")

const corpus = "../../testdata/fingerprints"

// corpusJobs are jobs of every kind the rules know. A job is added here, never
// changed: its document stands in the corpus for good.
func corpusJobs(t testing.TB) map[string]Request {
	taxed := Pricing{
		OverheadPercent: dec("12.5"), Profit: Margin, ProfitPercent: dec("28"),
		Tax: Tax{Percent: dec("6.25"), Kinds: []Kind{Material}, Rounding: money.HalfUpThird},
	}
	jobs := map[string]Request{}
	add := func(name string, s site.Site, p Pricing, edit func(*spec.Spec), custom ...CustomLine) {
		f := spec.Spec{Name: name, Height: ft(6)}
		if edit != nil {
			edit(&f)
		}
		r := ask(t, s, f.WithDefaults(), p)
		r.Custom = custom
		jobs[name] = r.Normalised()
	}
	add("back-yard", yard(), taxed, nil, line(Fee, "85"), line(Subcontract, "240.50"), line(Discount, "150"))
	add("straight-even", straight(measure.Must(`54' 6"`)), Pricing{ProfitPercent: dec("40")}, nil)
	add("straight-remainder", straight(measure.Must(`54' 6"`)), Pricing{}, func(f *spec.Spec) {
		f.Layout.Method, f.Layout.TerminalLimit = spec.Remainder, new(false)
	})
	add("straight-feathered", straight(measure.Must("100 ft")), taxed, func(f *spec.Spec) {
		f.Layout.Method, f.Layout.ShortEnd, f.Layout.Feather, f.Layout.TerminalLimit = spec.Feathered, spec.Both, 1, new(false)
	})
	add("dry-set-frost", straight(measure.Must("24 m")), taxed, func(f *spec.Spec) {
		f.Concrete.Set, f.Holes.FrostDepth, f.Holes.FrostMargin = spec.DrySet, 42*measure.Inch, 6*measure.Inch
		f.Boards.Gap = measure.Inch / 2
	})
	add("low-picket", straight(measure.Must(`31' 7-3/8"`)), Pricing{Tax: Tax{Percent: dec("8"), Basis: OnMaterialCost}}, func(f *spec.Spec) {
		f.Height, f.Boards.Size, f.Boards.Gap = ft(4), "1x4", 2*measure.Inch
	})
	loop := site.Site{Runs: []site.Run{{ID: "paddock", Closed: true, Vertices: []measure.Point{at(0, 0), at(50, 0), at(70, 35), at(0, 35)},
		Gates: []site.Gate{{ID: "field", Station: ft(20), Width: ft(12), Leaves: 2}}}}}
	add("closed-loop", loop, taxed, nil)
	tee := site.Site{Runs: []site.Run{
		{ID: "east", Vertices: []measure.Point{at(0, 0), at(40, 0)}},
		{ID: "west", Vertices: []measure.Point{at(-40, 0), at(0, 0)}},
		{ID: "branch", Vertices: []measure.Point{at(0, 0), at(0, 30)}},
	}}
	add("junction", tee, Pricing{ProfitPercent: dec("30")}, nil)
	landJobs(add)
	familyJobs(t, jobs)
	buyingJobs(t, jobs)
	return jobs
}

// Every document of the corpus replays to the same bytes: a change that breaks
// this test has changed a rule, and a changed rule needs a new rules version
// with the old one kept.
func TestCorpusReplays(t *testing.T) {
	if *addToCorpus {
		extendCorpus(t)
	}
	listing, err := os.ReadFile(filepath.Join(corpus, "SHA256SUMS"))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for entry := range strings.Lines(string(listing)) {
		fingerprint, name, _ := strings.Cut(strings.TrimSpace(entry), "  ")
		seen[strings.TrimSuffix(name, ".json")] = true
		doc, err := os.ReadFile(filepath.Join(corpus, name))
		if err != nil {
			t.Error(err)
			continue
		}
		if got := fmt.Sprintf("%x", Fingerprint(doc)); got != fingerprint {
			t.Errorf("%s: the file's fingerprint is %s, SHA256SUMS says %s", name, got, fingerprint)
		}
		switch diff, err := Replay(doc); {
		case err != nil:
			t.Errorf("%s: %v", name, err)
		case len(diff) > 0:
			t.Errorf("%s does not replay:\n  %s", name, strings.Join(diff[:min(len(diff), 10)], "\n  "))
		}
	}
	for name := range corpusJobs(t) {
		if !seen[name] {
			t.Errorf("job %s is not in the corpus: run go test ./internal/quote -run Corpus -add-to-corpus", name)
		}
	}
}

func extendCorpus(t *testing.T) {
	for name, r := range corpusJobs(t) {
		file := filepath.Join(corpus, name+".json")
		if _, err := os.Stat(file); err == nil {
			continue
		}
		if err := os.WriteFile(file, Document(r, build(t, r)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	files, err := filepath.Glob(filepath.Join(corpus, "*.json")) // sorted
	if err != nil {
		t.Fatal(err)
	}
	var sums bytes.Buffer
	for _, file := range files {
		doc, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&sums, "%x  %s\n", Fingerprint(doc), filepath.Base(file))
	}
	if err := os.WriteFile(filepath.Join(corpus, "SHA256SUMS"), sums.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
