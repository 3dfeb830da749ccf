package takeoff

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

// everyRule are take-offs that use every rule between them.
func everyRule(t *testing.T) []*Takeoff {
	t.Helper()
	inch := measure.Inch
	yard := site.Run{ID: "yard", Vertices: []measure.Point{{}, {North: 40 * ft}, {East: 60 * ft, North: 40 * ft}, {East: 60 * ft}},
		Start: site.Terminus{TieIn: true}, End: site.Terminus{TieIn: true},
		Gates: []site.Gate{{ID: "walk", Station: 10 * ft, Width: 3 * ft, Leaves: 1}, {ID: "drive", Station: 70 * ft, Width: 10 * ft, Leaves: 2}}}
	comb := site.Site{}
	for i := range measure.Length(40) { // runs of forty lengths
		comb.Runs = append(comb.Runs, site.Run{ID: "r" + number(whole(int(i))),
			Vertices: []measure.Point{{North: i * 10 * ft}, {North: i * 10 * ft, East: 20*ft + i*inch}}})
	}
	rates := map[string]Offer{"rate-fence": {Price: decimal.MustParse("0.1"), Unit: HourPerFoot},
		"rate-gate": {Price: decimal.MustParse("2"), Unit: HourPerLeaf}, "board-1x6-6ft": {Price: decimal.One, Unit: Each, Pack: decimal.Ten},
		"gravel": {Price: decimal.MustParse("40"), Unit: "yd3", Pack: decimal.MustParse("0.5")}}
	right := yard
	right.Face = site.Right
	var all []*Takeoff
	for _, job := range []struct {
		site.Site
		change func(*spec.Spec)
		hills  func(*layout.Layout)
	}{
		{site.Site{Runs: []site.Run{yard}}, func(*spec.Spec) {}, level},
		{site.Site{Runs: []site.Run{right}}, func(s *spec.Spec) { s.Concrete.Set, s.Concrete.Crown = spec.DrySet, 2*inch }, level},
		{comb, func(s *spec.Spec) { s.Boards.Gap, s.Boards.MaxGap = inch*3, inch*4 }, level},
		{comb, func(s *spec.Spec) { s.Boards.Gap = inch }, level},
		{comb, func(s *spec.Spec) { s.Details = spec.Details{"stock_1": "12 ft"} }, level},
		{comb, func(s *spec.Spec) { s.Posts.Size, s.Concrete.Crown = "2.375od", 2*inch }, level},
		{comb, func(s *spec.Spec) { s.Boards.Pattern, s.Boards.Overlap = spec.BoardOnBoard, inch }, level},
		{comb, func(s *spec.Spec) { s.Boards.Pattern, s.Boards.Gap = spec.ShadowBox, 3*inch }, rolling},
		{comb, func(s *spec.Spec) {
			s.Moisture = spec.Moisture{Species: "western redcedar", Installed: "8 %", Service: "15 %"}
		}, level},
		{comb, func(s *spec.Spec) {
			s.Moisture = spec.Moisture{Species: "southern pine", Installed: "treated-wet", Service: "temperate"}
		}, level},
		{comb, func(s *spec.Spec) { s.Rails.MaxSpan = 2 }, level},
		{comb, func(s *spec.Spec) { s.Rails.MaxSpan, s.Rails.Stock = 2, []measure.Length{8 * ft} }, level},
		{comb, func(s *spec.Spec) { s.Slope.Fill, s.Posts.Size = spec.KickBoard, "2.375od" }, rolling},
		{comb, func(*spec.Spec) {}, rolling},
		{comb, func(s *spec.Spec) { s.Slope.Fill, s.Slope.RailEnds = spec.KickBoard, spec.PlumbEnds }, rolling},
	} {
		s := sixFoot(job.change)
		l, err := layout.Plan(job.Site, s)
		if err != nil {
			t.Fatal(err)
		}
		job.hills(l)
		k, err := Count(l, s, rates)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, k)
	}
	return append(all, withExtras(t)...)
}

func level(*layout.Layout) {}

// rolling is ground that every post stands differently on: the first stretch is
// stepped and its first post an old one, the others are racked, and every other
// bay leaves a gap to fill.
func rolling(l *layout.Layout) {
	l.Stretches[0].Stepped = true
	l.Posts[0].Existing, l.Posts[0].Stock, l.Posts[0].Hole = true, 0, layout.Hole{}
	for i := range l.Bays {
		l.Bays[i].Rise = 5 * measure.Inch
		l.Bays[i].Fill = measure.Length(i%2) * 8 * measure.Inch
	}
	for i := range l.Posts {
		l.Posts[i].AboveGrade += measure.Length(i) * measure.Inch / 8
	}
}

var placeholder = regexp.MustCompile(`\{([^}]*?)!?\}`)

// Every rule is used, its sentence finds every input it names, and every input
// is told, so that no derivation has a hole and none keeps a figure to itself.
func TestEveryRuleTellsItsInputs(t *testing.T) {
	unused := make(map[string]bool)
	for _, r := range rules {
		unused[r.id] = true
	}
	for _, k := range everyRule(t) {
		for _, l := range k.Lines {
			for _, s := range l.Derivation.Steps {
				delete(unused, s.Rule)
				r, known := rulesByID[s.Rule]
				if !known {
					t.Fatalf("%s: no rule %s", l.Item, s.Rule)
				}
				told := make(map[string]bool)
				for _, m := range placeholder.FindAllStringSubmatch(r.sentence, -1) {
					told[m[1]] = true
				}
				required := regexp.MustCompile(`\[[^]]*\]`).ReplaceAllString(r.sentence, "")
				for _, m := range placeholder.FindAllStringSubmatch(required, -1) {
					if _, has := s.input(m[1]); !has && !strings.Contains("+ , result unrounded rounding", m[1]) {
						t.Errorf("%s: the step has no %q", s.Rule, m[1])
					}
				}
				for _, in := range s.Inputs {
					if !told[in.Name] && !told["+"] && !told[","] {
						t.Errorf("%s: the sentence does not tell of %q", s.Rule, in.Name)
					}
				}
				if (s.Unrounded == "") != (s.Rounding == "") || s.Result == "" {
					t.Errorf("%s: unrounded %q, rounding %q, result %q", s.Rule, s.Unrounded, s.Rounding, s.Result)
				}
				if words := s.Sentence(); strings.ContainsAny(words, "{}[]") || strings.Contains(words, "  ") {
					t.Errorf("%s: %s", s.Rule, words)
				}
			}
		}
	}
	for id := range unused {
		t.Errorf("no job here uses the rule %s", id)
	}
}

// A job of all different stretches explains itself in bounded length, and its
// sum still adds up.
func TestManyKindsStayBounded(t *testing.T) {
	jobs := everyRule(t)
	for _, k := range jobs {
		for _, l := range k.Lines {
			if n := len(l.Derivation.Steps); n > 4*maxKinds {
				t.Errorf("%s has %d steps", l.Item, n)
			}
		}
	}
	k := jobs[3]
	for _, l := range k.Lines {
		if l.Category != Boards {
			continue
		}
		total := 0
		for _, f := range k.Faces {
			total += f.Boards
		}
		words := strings.Join(l.Derivation.Sentences(), "\n")
		if want := " on the other 8 = " + amountOf(total, "board") + "."; !strings.Contains(words, want) {
			t.Errorf("want %q in\n%s", want, words)
		}
	}
}

func TestUnknownRuleStillReads(t *testing.T) {
	s := Step{Rule: "boards.later", Inputs: []Input{{"here", "3", "board"}, {"there", "1", "board"}}, Result: "4 boards"}
	if got, want := s.Sentence(), "3 boards here + 1 board there = 4 boards."; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
}

// Every source is an entry of the table of outside figures.
func TestSources(t *testing.T) {
	table, err := os.ReadFile("../../../shared/reference/checks.md")
	if err != nil {
		t.Skip("the table of outside figures is not here: ", err)
	}
	for _, r := range rules {
		if r.source != practice && !regexp.MustCompile(`\b`+r.source+`\b`).Match(table) {
			t.Errorf("%s: no source %s", r.id, r.source)
		}
	}
}
