package render

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"wattle/internal/measure"
	"wattle/internal/quote"
	"wattle/internal/takeoff"
)

// An inch is 25.4 mm, a foot 304.8 mm, exactly (international foot, 1959).
func TestMeasures(t *testing.T) {
	l := 7*measure.Foot + 9*measure.Inch + 7*measure.Sixteenth // 2373.3125 mm
	for m, want := range map[Measures][2]string{
		"":               {"7 ft 9-7/16 in", `7' 9-7/16"`},
		ImperialMeasures: {"7 ft 9-7/16 in", `7' 9-7/16"`},
		MetricMeasures:   {"2.373 m", "2373 mm"},
		BothMeasures:     {"7 ft 9-7/16 in (2.373 m)", `7' 9-7/16" (2373 mm)`},
	} {
		if got := [2]string{m.Words(l), m.tape(l)}; got != want {
			t.Errorf("%q: %q, want %q", m, got, want)
		}
	}
	if got := MetricMeasures.Words(6 * measure.Inch); got != "152 mm" {
		t.Error(got)
	}
}

// imperial is a length in feet or inches, in words or as on a tape.
var imperial = regexp.MustCompile(`\d (ft|in)\b|\d['"]`)

// tradeSize is what stock is called by, in any measures.
var tradeSize = regexp.MustCompile(`\d+x\d+|[\d./-]+ in (vinyl|round|OD|square|steel|wood)`)

// What is told in metric tells no length in feet or inches, whatever the fence
// is, and in both measures it tells each.
func TestMetricPapers(t *testing.T) {
	for name, f := range fences {
		st, s, l := f.plan(t)
		k, err := takeoff.Count(l, s, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range AllMeasures() {
			var texts []string
			plan, err := PlanSheets(st, l, PlanOptions{Title: name, Spec: s, Measures: m})
			if err != nil {
				t.Fatal(err)
			}
			crew, err := CrewSheets(st, l, CrewOptions{Title: name, Spec: s, Cuts: k.Cuts, Measures: m})
			if err != nil {
				t.Fatal(err)
			}
			for i, sheet := range append(plan, crew...) {
				if sheet.Width <= 0 || sheet.Height <= 0 || len(sheet.Marks) == 0 {
					t.Errorf("%s: sheet %d is %v by %v with %d marks", name, i, sheet.Width, sheet.Height, len(sheet.Marks))
				}
				for _, mark := range sheet.Marks {
					if mark.IsText() {
						texts = append(texts, mark.Text)
						if mark.Y < 0 || mark.Y > sheet.Height {
							t.Errorf("%s: %q at %v is not on its sheet", name, mark.Text, mark.Y)
						}
					}
				}
			}
			texts = append(texts, Scope(quote.Request{Site: st, Spec: s}, &quote.Quote{Layout: l, Takeoff: k}, m), Infill(s, m))
			for _, c := range CutTables(k, m) {
				texts = append(texts, fmt.Sprint(c))
			}
			for i := range texts {
				texts[i] = tradeSize.ReplaceAllString(texts[i], "")
			}
			all := strings.Join(texts, "\n")
			if found := imperial.FindString(all); (found == "") != (m == MetricMeasures) {
				t.Errorf("%s in %s measures: %q", name, m, found)
				for _, text := range texts {
					if m == MetricMeasures && imperial.MatchString(text) {
						t.Log(text)
					}
				}
			}
			if metric := strings.Contains(all, " mm"); metric != (m != ImperialMeasures) {
				t.Errorf("%s in %s measures has millimetres: %t", name, m, metric)
			}
		}
	}
}
