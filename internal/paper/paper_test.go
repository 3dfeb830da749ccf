package paper

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"wattle/internal/render"
	"wattle/internal/site"
)

var write = flag.String("papers", "", "a folder that the papers of TestPapers are written to, to be looked at")

var sites = map[string]func() site.Site{"10": tenBays, "600": sixHundredBays}

func TestPapers(t *testing.T) {
	for name, st := range sites {
		for _, paper := range Papers() {
			for _, m := range render.AllMeasures() {
				tpl := harrow()
				tpl.Paper, tpl.Measures = paper, m
				if m == render.MetricMeasures {
					tpl.Locale = "de-CH"
				}
				in := input(t, st(), tpl)
				for _, k := range Kinds() {
					out, err := Make(k, in)
					if err != nil {
						t.Fatal(err)
					}
					if len(out.Cautions) > 0 {
						t.Errorf("%s: %v", k, out.Cautions)
					}
					if *write != "" {
						path := filepath.Join(*write, string(k)+"-"+name+"-"+paper+"-"+string(m)+".pdf")
						if err := os.WriteFile(path, out.PDF, 0o600); err != nil {
							t.Fatal(err)
						}
					}
					t.Log(k, name, paper, m, out.Pages, len(out.PDF))
				}
			}
		}
	}
}
