package render

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/spec"
)

var update = flag.Bool("update", false, "rewrite the files in testdata")

var plans = map[string]string{
	"ten-feet": "a: 0,0 10,0",
	"yard":     "yard: wall 0,0 0,40 60,40 60,0 wall gate=walk@12x3.5 gate=drive@70x10x2",
	"long":     "a: 0,0 2000,0",
	"loop":     "paddock: 0,0 90,10 110,70 40,95 -20,50 closed right gate=field@30x12x2>",
	"angled":   "back: wall 0,0 30,45 85,60 gate=side@20x4\nspur: 30,45 -25,80\nlow: 85,60 120,20 150,25 wall right gate=cart@12x8x2>",
	"gates":    "front: 0,0 60,0 gate=a@3x3 gate=b@10x3> gate=c@17x3^ gate=d@24x3 gate=e@31x3 gate=f@38x3 gate=g@45x3",
	"crowded":  crowded(),
	"upright":  "side: wall 0,0 0,130 gate=shed@60x4",
}

// crowded is more than a sheet has room for: forty short runs in four hundred
// yards.
func crowded() string {
	var b strings.Builder
	for i := range 40 {
		fmt.Fprintf(&b, "r%d: %d,%d %d,%d %d,%d gate=g%d@6x4\n", i, i*30, i%5*8, i*30+12, i%5*8, i*30+18, i%5*8+20, i)
	}
	return b.String()
}

func mustPlan(t testing.TB, text string) (site.Site, *layout.Layout) {
	t.Helper()
	st := mustSite(text)
	return st, planned(t, st)
}

func planned(t testing.TB, st site.Site) *layout.Layout {
	t.Helper()
	l, err := layout.Plan(st, spec.Spec{Height: 6 * measure.Foot})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestPlan(t *testing.T) {
	for name, text := range plans {
		t.Run(name, func(t *testing.T) {
			st, l := mustPlan(t, text)
			for _, paper := range []string{"letter", "a4"} {
				o := PlanOptions{Title: "The " + name + " job", Paper: paper}
				checkPlan(t, st, l, o)
				var b bytes.Buffer
				if err := PlanSVG(&b, st, l, o); err != nil {
					t.Fatal(err)
				}
				if paper == "letter" {
					golden(t, "plan-"+name+".svg", b.Bytes())
				}
			}
		})
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs; look at it and run go test with -update if it is right. Got:\n%s", path, got)
	}
}

func TestPlanText(t *testing.T) {
	st, l := mustPlan(t, "a<&\"\x01b: 0,0 40,0 gate=<i>@9x4\nc: 0,9 40,9")
	var b bytes.Buffer
	if err := PlanSVG(&b, st, l, PlanOptions{Title: "</title> & \x00\uFFFE" + strings.Repeat("long ", 200)}); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "<i>") || strings.Contains(b.String(), "\x01") {
		t.Error("text was not escaped")
	}
	checkPlan(t, st, l, PlanOptions{Title: strings.Repeat("W", 500)})
	if err := PlanSVG(io.Discard, st, l, PlanOptions{Paper: "a3"}); err == nil || !strings.Contains(err.Error(), "letter or a4") {
		t.Errorf("paper a3: %v", err)
	}
}
